package charts

import (
	"fmt"
	"regexp"
	"runtime"
	"sync"
)

// mostMachines bounds the machines that draw at the same time: each holds some 20 MB.
const mostMachines = 4

// later are the drawings of a renderer that several machines make while the caller goes on.
type later struct {
	sheets chan *sheet
	done   sync.WaitGroup
	mutex  sync.Mutex
	drawn  map[string]string // by ID
	failed error             // the first failure
}

// NewBusyRenderer starts machines that draw beside the caller: what its methods return is a place holder, and Fill puts the
// drawings there. A wrong chart is refused at once, as by NewRenderer; one that ECharts cannot draw, or machines that do not start,
// by Fill, which must be called.
func NewBusyRenderer() *Renderer {
	l := &later{sheets: make(chan *sheet, 256), drawn: map[string]string{}}
	for range min(mostMachines, runtime.GOMAXPROCS(0)) {
		l.done.Add(1)
		go l.work()
	}
	return &Renderer{used: map[string]bool{}, later: l}
}

func (l *later) work() {
	defer l.done.Done()
	machine, err := NewRenderer()
	l.fail(err)
	for s := range l.sheets {
		if err != nil {
			continue // nobody may wait for a place in the channel
		}
		svg, failed := machine.finish(s)
		l.fail(failed)
		l.mutex.Lock()
		l.drawn[s.frame.ID] = svg
		l.mutex.Unlock()
	}
}

func (l *later) fail(err error) {
	l.mutex.Lock()
	defer l.mutex.Unlock()
	if l.failed == nil {
		l.failed = err
	}
}

// close ends the machines when all is drawn.
func (l *later) close() error {
	close(l.sheets)
	l.done.Wait()
	return l.failed
}

// holder stands in a document until its drawing is there. No text of records can look like it: they are escaped.
func holder(id string) string { return `<svg data-chart="` + id + `"></svg>` }

var holders = regexp.MustCompile(`<svg data-chart="([a-z0-9-]+)"></svg>`)

// Fill puts the drawings of a busy renderer into a document, each as ready makes it; it ends the machines and must come last, once,
// also where there is nothing to fill.
func (r *Renderer) Fill(document []byte, ready func(svg string) string) ([]byte, error) {
	if err := r.later.close(); err != nil {
		return nil, err
	}
	missing := ""
	filled := holders.ReplaceAllFunc(document, func(found []byte) []byte {
		id := string(holders.FindSubmatch(found)[1])
		svg := r.later.drawn[id]
		if svg == "" {
			missing = id
		}
		return []byte(ready(svg))
	})
	if missing != "" {
		return nil, fmt.Errorf("charts: %s: a place holder without a drawing", missing)
	}
	return filled, nil
}
