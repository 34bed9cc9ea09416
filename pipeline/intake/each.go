package intake

import (
	"iter"
	"runtime"
	"sync"
	"sync/atomic"

	"golang.org/x/sync/errgroup"
)

// Inspected is a candidate's inspection.
type Inspected struct {
	Source Source
	Err    error
}

// InspectEach inspects candidates as Inspect does, as many at once as there are processors, and gives them in their order. When the
// caller asks for no more, those under way are waited for.
func InspectEach(candidates []Candidate, folder string) iter.Seq2[Candidate, Inspected] {
	return func(yield func(Candidate, Inspected) bool) {
		found := make([]chan Inspected, len(candidates))
		for i := range found {
			found[i] = make(chan Inspected, 1)
		}
		var taken atomic.Int64
		var workers sync.WaitGroup
		defer workers.Wait()
		defer taken.Store(int64(len(candidates)))
		for range min(runtime.GOMAXPROCS(0), len(candidates)) {
			workers.Go(func() {
				for i := int(taken.Add(1)) - 1; i < len(candidates); i = int(taken.Add(1)) - 1 {
					s, err := Inspect(candidates[i], folder, i)
					found[i] <- Inspected{s, err}
				}
			})
		}
		for i, c := range candidates {
			if !yield(c, <-found[i]) {
				return
			}
		}
	}
}

// NumberEach writes the numbered copies of sources as Number does, as many at once as there are processors. Their numbers in the scratch
// folder are places.
func NumberEach(sources []Source, folder string, places []int) ([]string, error) {
	return copyEach(sources, places, func(s Source, place int) (string, error) { return s.Number(folder, place) })
}

// NumberEndsEach does the same for the ends of sources, as NumberEnds does.
func NumberEndsEach(sources []Source, folder string, places []int) ([]string, error) {
	return copyEach(sources, places, func(s Source, place int) (string, error) { return s.NumberEnds(folder, place) })
}

func copyEach(sources []Source, places []int, write func(Source, int) (string, error)) ([]string, error) {
	paths := make([]string, len(sources))
	var writers errgroup.Group
	writers.SetLimit(runtime.GOMAXPROCS(0))
	for i, s := range sources {
		writers.Go(func() (err error) {
			paths[i], err = write(s, places[i])
			return err
		})
	}
	return paths, writers.Wait()
}
