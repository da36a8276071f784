package widget_test

import (
	"testing"
	"time"

	"rinseby/tui/theme"
	"rinseby/tui/widget"
)

// manyBars are twelve zones on one axis, in all phases.
func manyBars() []widget.Bar {
	var bars []widget.Bar
	for i := range 12 {
		b := bar(float64(6*i-20), float64(6*i-14), float64(6*i+10), float64(6*i+25))
		if i < 3 {
			b.Off = at(float64(6*i + 12))
		}
		bars = append(bars, b)
	}
	return bars
}

func BenchmarkTwelveBars(b *testing.B) {
	th, bars := theme.Dark(), manyBars()
	b.ReportAllocs()
	for b.Loop() {
		for _, bar := range bars {
			bar.Render(th, 120)
		}
	}
}

func BenchmarkAxis(b *testing.B) {
	th := theme.Dark()
	b.ReportAllocs()
	for b.Loop() {
		widget.Axis(th, at(0), at(90), at(36), time.UTC, 120)
	}
}

func BenchmarkFrame(b *testing.B) {
	th := theme.Dark()
	var lines []string
	for _, bar := range manyBars() {
		lines = append(lines, bar.Render(th, 116))
	}
	b.ReportAllocs()
	for b.Loop() {
		widget.Frame(th, "zones", lines, 120, 40)
	}
}

func BenchmarkWholeScreen(b *testing.B) {
	th, bars := theme.Dark(), manyBars()
	b.ReportAllocs()
	for b.Loop() {
		head := widget.Digits(th, "12:34", 60, 3)
		body := []string{widget.Axis(th, at(0), at(90), at(36), time.UTC, 120)}
		for _, bar := range bars {
			body = append(body, bar.Render(th, 120))
		}
		widget.Screen(th, head, body, []string{widget.Hint(th, "space", "next foil")}, 120, 40)
	}
}
