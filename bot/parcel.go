package bot

import (
	"crypto/sha256"
	"encoding/base64"
	"encoding/json"

	"shimwright/bot/store"
	"shimwright/dialogs"
)

// Kinds of queued items.
const (
	kindPost    = "post"    // a parcel
	kindOpen    = "open"    // a job whose first events may be missing; the body is its number
	kindErase   = "erase"   // a job to take out of what could name a person
	kindClosing = "closing" // a job that was closed or taken up again, for the directory
)

// parcel is a queued message with its address.
type parcel struct {
	Spot spot             `json:"to"`
	Job  int              `json:"job,omitempty"`  // to the job's own place, which may have to be opened yet
	Of   int              `json:"of,omitempty"`   // the job it is about where Job does not say it
	Show UserID           `json:"show,omitempty"` // who is to be brought there
	Out  dialogs.Outgoing `json:"out"`
}

// items addresses messages like p.
func (p parcel) items(out []dialogs.Outgoing) ([]store.Item, error) {
	var items []store.Item
	job := p.Job
	for _, o := range out {
		p.Out, p.Job = o, job
		if o.Home != 0 {
			p.Job = o.Home
		}
		body, err := json.Marshal(p)
		if err != nil {
			return nil, err
		}
		items = append(items, store.Item{Kind: kindPost, Body: body})
	}
	return items, nil
}

// closing tells the directory that a job was closed or taken up again.
type closing struct {
	Number int  `json:"number"`
	Closed bool `json:"closed"`
}

func (c closing) item() (store.Item, error) {
	body, err := json.Marshal(c)
	return store.Item{Kind: kindClosing, Body: body}, err
}

// hashName stands for a text that cannot be part of a name itself.
func hashName(text string) string {
	h := sha256.Sum256([]byte(text))
	return base64.RawURLEncoding.EncodeToString(h[:18])
}
