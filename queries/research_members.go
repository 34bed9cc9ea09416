package queries

import "context"

// CohortMembers says of each current transport, in order of its key, whether it is in the cohort of a study: in its months, by
// every rule of inclusion and by none of exclusion, whatever its exposure.
func (r *Reader) CohortMembers(ctx context.Context, s Study) ([]bool, error) {
	d, err := r.StudyData(ctx, s)
	if err != nil {
		return nil, err
	}
	members := make([]bool, d.Len())
	for i := range members {
		members[i] = d.InPeriod[i]
		for _, rule := range s.Include {
			members[i] = members[i] && d.Meets(i, rule.Condition)
		}
		for _, rule := range s.Exclude {
			members[i] = members[i] && !d.Meets(i, rule.Condition)
		}
	}
	return members, nil
}
