package store

import "sync"

// lately is the rows that this process wrote or read last, so that the next edit of a
// job need not put its document together again. It is a hint and no more: a row is used
// only for an edit that was made for its very revision, and the writing turns back where
// the job has moved on, through this process or another; a document is used where its
// hash is the one wanted.
type lately struct {
	mu    sync.Mutex
	rows  map[string]jobRow
	bytes int
}

// mostLately bounds the documents held, in bytes; past it all are let go.
const mostLately = 16 << 20

func (k *lately) keep(r jobRow) {
	k.mu.Lock()
	defer k.mu.Unlock()
	k.bytes += len(r.Document) - len(k.rows[r.ID].Document)
	if k.rows == nil || k.bytes > mostLately {
		k.rows, k.bytes = map[string]jobRow{}, len(r.Document)
	}
	k.rows[r.ID] = r
}

// document gives the document of a hash that a job had, nil where it is not held.
func (k *lately) document(id, hash string) []byte {
	k.mu.Lock()
	defer k.mu.Unlock()
	if r := k.rows[id]; r.Hash == hash {
		return r.Document
	}
	return nil
}

// at gives a shop's job as it was at a revision, if it is held.
func (k *lately) at(shop, id string, revision int64) (jobRow, bool) {
	k.mu.Lock()
	defer k.mu.Unlock()
	r, ok := k.rows[id]
	return r, ok && r.Shop == shop && r.Revision == revision
}
