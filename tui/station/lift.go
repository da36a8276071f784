package station

import (
	"slices"
	"strings"

	"rinseby/session"
	"rinseby/tui/widget"
)

// viewLift is what checks tell of the lift of the zone that was picked by hand;
// else of the one that keys are about, or the next one that was checked. It
// takes further lines rather than leave out what it rests on, if there is room.
func (m *Model) viewLift() []string {
	z := m.zone(m.Zone())
	if z.Lift == nil && m.selected == "" {
		if i := slices.IndexFunc(m.look.Board.Zones, func(o session.ZoneLook) bool { return o.Lift != nil }); i >= 0 {
			z = m.look.Board.Zones[i]
		}
	}
	if z.Lift == nil {
		return nil
	}
	of, says := " "+z.Lift.Of(z.Name), z.Lift.Text(m.clock)
	full := of + " lift, " + z.Lift.Basis() + ":"
	lines := []string{of + " " + z.Lift.Short() + ": " + says}
	switch {
	case widget.Width(full)+1+widget.Width(says) <= m.w:
		lines = []string{full + " " + says}
	case m.h >= roomy:
		parts := widget.Wrap(says, m.w-4)
		lines = []string{full, "   " + parts[0]}
		if len(parts) > 1 {
			lines = append(lines, "   "+strings.Join(parts[1:], " "))
		}
	}
	for i := range lines {
		lines[i] = m.th.Text.Render(widget.Fit(lines[i], m.w))
	}
	return lines
}
