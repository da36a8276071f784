//go:build !race

package forecast

const racing = false
