package job

import (
	"encoding/json"
	"fmt"

	"coilwright/document"
)

// Complete is a job's text, compact, with the shop's whole book in place of the
// name that it goes by: it works out the same whatever becomes of that book. The
// job must be one that can be read.
func Complete(name string, data []byte, open Open) ([]byte, error) {
	file, err := document.Parse(name, data)
	if err != nil {
		return nil, err
	}
	r := &reader{found: &document.Findings{Main: name}, open: open}
	shop := file.Read(r.found).Peek("shop")
	used, ok := r.used(shop.Peek("use"))
	if err := r.found.List().Err(); err != nil || !ok {
		return nil, fmt.Errorf("the shop's book of %s cannot be put in place: %w", name, err)
	}
	var whole, book map[string]json.RawMessage
	if err := json.Unmarshal(data, &whole); err != nil {
		return nil, err
	}
	if err := json.Unmarshal(shop.Over(used).JSON(), &book); err != nil {
		return nil, err
	}
	delete(book, "use")
	if whole["shop"], err = json.Marshal(book); err != nil {
		return nil, err
	}
	return json.Marshal(whole)
}
