//go:build linux || darwin

package main

import "syscall"

// freeBytes is the room on the disk a folder is on.
func freeBytes(dir string) (int64, bool) {
	var s syscall.Statfs_t
	if err := syscall.Statfs(dir, &s); err != nil {
		return 0, false
	}
	return int64(s.Bavail) * int64(s.Bsize), true
}
