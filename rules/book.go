package rules

import "errors"

// ErrUnknownSheet says that no sheet of that name is in the book.
var ErrUnknownSheet = errors.New("unknown sheet")

// Book holds the axle sheets: the shipped ones and, over them, the shop's own.
type Book struct {
	sheets map[string]*Sheet
}
