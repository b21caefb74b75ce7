package dialogs

import (
	"crypto/sha256"
	"encoding/base64"
	"encoding/json"
	"errors"
	"fmt"
	"reflect"
	"regexp"
	"strconv"
	"strings"
	"time"
)

// takenOut stands for words that were taken out, where there were some: an override
// without a reason would be no override.
const takenOut = "(taken out)"

// gone begins an id that was hashed.
const gone = "gone:"

// ErrNewerEntry says that a log has entries of a newer version, of which nobody here
// knows what may be taken out.
var ErrNewerEntry = errors.New("the log has entries of a newer version")

// TakeOut is one taking out of what could name a person from a job's records. The
// readings, moves and statements stay, and so does who of several people did what,
// as "person 1", "person 2".
type TakeOut struct {
	salt  string
	names map[string]string
}

// NewTakeOut begins one. The salt hides ids of messages from whoever would try out
// numbers; any random text.
func NewTakeOut(salt string) *TakeOut { return &TakeOut{salt: salt, names: map[string]string{}} }

// numbered is a name that was taken out before.
var numbered = regexp.MustCompile(`^person ([0-9]+)$`)

// Name gives what stands for a person's name.
func (x *TakeOut) Name(name string) string {
	switch Role(name) {
	case "", Technician, Apprentice, Mentor, Owner, Customer:
		return name // a role names nobody
	}
	if numbered.MatchString(name) {
		x.names[name] = name
		return name
	}
	if x.names[name] == "" {
		n := len(x.names) + 1
		for x.names["person "+strconv.Itoa(n)] != "" {
			n++
		}
		x.names[name] = "person " + strconv.Itoa(n)
	}
	return x.names[name]
}

// ID gives what stands for a message's id: the same each time, and nothing to find
// the message by.
func (x *TakeOut) ID(id string) string {
	if id == "" || strings.HasPrefix(id, gone) {
		return id
	}
	return GoneID(x.salt, id)
}

// GoneID is what stands for an id that was taken out with a salt.
func GoneID(salt, id string) string {
	sum := sha256.Sum256([]byte(salt + "\x00" + id))
	return gone + salt + ":" + base64.RawURLEncoding.EncodeToString(sum[:12])
}

// SaltOf gives the salt of an id that was taken out, empty for any other.
func SaltOf(id string) string {
	rest, ok := strings.CutPrefix(id, gone)
	if !ok {
		return ""
	}
	salt, _, _ := strings.Cut(rest, ":")
	return salt
}

// Record takes out of one record of a job's log. What has nothing in it, or went
// through before, comes back the same, byte for byte. ErrNewerEntry for an entry of
// an unknown kind.
func (x *TakeOut) Record(record []byte) ([]byte, error) {
	e, err := decode(record, 1)
	if errors.Is(err, errUnknownKind) {
		return nil, fmt.Errorf("%w: %w", ErrNewerEntry, err)
	}
	if err != nil {
		return nil, err
	}
	if e.Kind == kindErased {
		return record, nil // who did it stays on record
	}
	was := e.Event
	e.By, e.Message, e.Said = x.Name(e.By), x.ID(e.Message), ""
	data := e.Data
	if len(e.Data) > 0 {
		x.value(reflect.ValueOf(e.payload).Elem(), e.Kind, "words")
		if data, err = json.Marshal(e.payload); err != nil {
			return nil, err
		}
	}
	plain, err := json.Marshal(freshPayload(was))
	if err != nil {
		return nil, err
	}
	if e.By == was.By && e.Message == was.Message && was.Said == "" && string(plain) == string(data) {
		return record, nil
	}
	e.Data = data
	return Encode(e.Event)
}

// freshPayload gives the payload of an event as it was.
func freshPayload(e Event) payload {
	p := newPayload(e.Kind)
	if len(e.Data) > 0 {
		_ = json.Unmarshal(e.Data, p) // decode has done it before
	}
	return p
}

// holds says what the texts of an entry are, by kind and field: "no" for words of
// this program, "words", "name" and "id" for what is taken out, "blank" for words that
// may be missing. A text of a type of its own (a slot, a step, a verdict) is a word of
// this program. A field under another one ("attached.photos.caption") is what that is,
// unless it is listed itself. What is not listed at all is taken out as words, and a
// test asks for it.
func holds(field string) string {
	switch field {
	case "opened.title":
		return "blank"
	case "opened.sheet", "opened.made",
		"measured.unit", "measured.along", "measured.across", "measured.degree", "measured.positions", "measured.part", "measured.seal", "measured.bearings",
		"moved.from", "moved.to", "instructed.moves",
		"stated.fact", "skipped.field", "reviewed.decision",
		"warned.rule", "warned.level", "warned.text", "warned.english", "overridden.rules",
		"advised.doubt", "advised.reason", "advised.causes", "advised.terms",
		"reminded.key", "putoff.key", "put-off.key",
		"attached.photos", "captioned.photos", "photo_deleted.id",
		"damaged.part", "damaged.sign", "torqued.fastener", "torqued.unit", "torqued.fact", "torqued.finish",
		"fitted.piece", "fitted.by", "fitted.on",
		"checked.what", "checked.unit", "drove.unit", "heard.noise", "held.asks", "reviewed.digest",
		"erased.salt":
		return "no"
	case "reviewed.text", "closed.reason", "held.why", "damaged.text", "attached.photos.caption":
		return "blank"
	case "break-in.driver", "reviewed.to", "watched.name", "taught.name", "quizzed.to", "torqued.signed":
		return "name"
	case "asked.about", "asked.text", "asked.choices", "skipped.reason", "overridden.reason":
		return "words"
	}
	return ""
}

// value takes out of a value and what is under it. at names it, by kind and fields;
// what is what it is if it is not listed itself.
func (x *TakeOut) value(v reflect.Value, at, what string) {
	switch v.Kind() {
	case reflect.Pointer, reflect.Interface:
		if !v.IsNil() {
			x.value(v.Elem(), at, what)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			f := v.Type().Field(i)
			name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
			switch {
			case f.Anonymous && name == "" && f.Type.Kind() == reflect.Struct:
				x.value(v.Field(i), at, what)
			case f.IsExported() && name != "-":
				own := holds(at + "." + name)
				if own == "" {
					own = what
				}
				x.value(v.Field(i), at+"."+name, own)
			}
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			x.value(v.Index(i), at, what)
		}
	case reflect.Map:
		if v.Type().Elem() == reflect.TypeFor[string]() {
			for _, k := range v.MapKeys() {
				v.SetMapIndex(k, reflect.ValueOf(x.text(v.MapIndex(k).String(), what)))
			}
		}
	case reflect.String:
		if v.CanSet() && v.Type() == reflect.TypeFor[string]() {
			v.SetString(x.text(v.String(), what))
		}
	}
}

func (x *TakeOut) text(s, what string) string {
	switch what {
	case "no":
		return s
	case "name":
		return x.Name(s)
	case "id":
		return x.ID(s)
	case "blank":
		return ""
	}
	if s == "" {
		return ""
	}
	return takenOut
}

// Erasure is the entry that ends a taking out, by whoever asked for it.
func (x *TakeOut) Erasure(by string, role Role, at time.Time) ([]byte, error) {
	data, err := json.Marshal(erased{Salt: x.salt})
	if err != nil {
		return nil, err
	}
	return Encode(Event{Kind: kindErased, At: at, By: by, Role: role, Data: data})
}
