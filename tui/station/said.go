package station

// Look is what is shown, with its texts clean.
func (m *Model) Look() Look { return m.look }

// Status is the line that answers the last key, clean.
func (m *Model) Status() Status { return m.status }

// LiftLines says what checks tell of the lift of each zone that has any.
func (m *Model) LiftLines() (lines []string) {
	for _, z := range m.look.Board.Zones {
		if z.Lift != nil {
			lines = append(lines, z.Lift.Of(z.Name)+" lift, "+z.Lift.Basis()+": "+z.Lift.Text(m.clock))
		}
	}
	return lines
}
