package store

import "errors"

// What can go wrong, for errors.Is. The error itself is a whole sentence that names
// the file, address or field.
var (
	ErrConflict  = errors.New("the stream has moved on")                   // read the new events and decide again
	ErrDuplicate = errors.New("an item with this id is already waiting")   // a mistake of the caller
	ErrInvalid   = errors.New("not a valid request to the store")          // a mistake of the caller
	ErrLost      = errors.New("the lease is no longer held")               // stop sending, another process has it
	ErrRewound   = errors.New("the stream is shorter than already read")   // a restore or failover lost its end: read again from 0
	ErrLocked    = errors.New("the store is in use by another process")    // only one process may open a file
	ErrFull      = errors.New("the store is full")                         // disk or memory; nothing was written
	ErrTemporary = errors.New("the store cannot be reached at the moment") // outcome unknown; repeat
	ErrCorrupt   = errors.New("the store is damaged or not a store")       // restore a backup
	ErrNewer     = errors.New("the store was written by a newer version")  // update the program
	ErrQuota     = errors.New("the stream has as many files as it may")    // nothing was kept
	ErrNoFile    = errors.New("there is no such file")                     // never was, or deleted
	ErrClosed    = errors.New("the store is closed")
)
