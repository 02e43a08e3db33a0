package group

import "github.com/rinktally/rinktally/server/store"

// Read is what store.Log.Read returns of a page of records behind a sequence
// number. Where there are none, the end of the stream, which is kept apart from its
// records, says whether some are missing.
func Read(stream string, after uint64, page func() ([]store.Record, error), end func() (store.Head, error)) ([]store.Record, error) {
	for looked := false; ; looked = true {
		records, err := page()
		if err != nil || len(records) > 0 {
			return records, err
		}
		head, err := end()
		if err != nil || head.Seq <= after {
			return nil, err
		}
		if looked { // the first time an append may have come in between
			return nil, store.CutOff(stream, after, head.Seq)
		}
	}
}
