//go:build race

package forecast

const racing = true
