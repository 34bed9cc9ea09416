package measures

// Latest is a series with its last n points alone, for charts and tables that would else grow without end, and how many points it
// leaves out. Centre, limits and signals stay those of all points; a signal keeps the points of it that are shown, one that lies
// wholly before them is left out.
func (s Series) Latest(n int) (Series, int) {
	left := len(s.Points) - n
	if left <= 0 {
		return s, 0
	}
	signals, phases := s.Signals, s.Phases
	s.Points, s.Signals, s.Phases = s.Points[left:], nil, nil
	for _, sig := range signals {
		if sig.Last < left {
			continue
		}
		sig.First, sig.Last = max(0, sig.First-left), sig.Last-left
		s.Signals = append(s.Signals, sig)
	}
	for _, p := range phases {
		if p.End <= left {
			continue
		}
		p.Start, p.End = max(0, p.Start-left), p.End-left
		s.Phases = append(s.Phases, p)
	}
	return s, left
}
