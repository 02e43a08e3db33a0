package live

// What the tests check the board of a large category by.
const (
	MostPlaces   = mostPlaces
	FirstPlaces  = firstPlaces
	BesidePlaces = besidePlaces
	KeptBytes    = keptBytes
)

// Kept returns how many steps the hall of an event has kept, and about how many bytes
// those of its largest audience take.
func (h *Hub) Kept(event string) (steps, bytes int) {
	h.mu.Lock()
	f := h.feeds[event]
	h.mu.Unlock()
	f.mu.Lock()
	defer f.mu.Unlock()
	for v, a := range f.audiences {
		sum := 0
		for _, s := range a.steps {
			sum += s.bytes()
		}
		bytes = max(bytes, sum)
		if v == (hall{}) {
			steps = len(a.steps)
		}
	}
	return steps, bytes
}

// Feeds returns how many events are kept for their watchers.
func (h *Hub) Feeds() int { return len(h.all()) }
