package main

import (
	"fmt"
	"os"
	"strconv"
	"strings"
	"time"
)

// ticks is the kernel's unit of processor time in /proc; it is 100 on every Linux
// that Go runs on.
const ticks = 100

// cpuOf gives the processor time a process has used so far.
func cpuOf(pid int) time.Duration {
	data, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", pid))
	if err != nil {
		return 0
	}
	_, rest, _ := strings.Cut(string(data), ") ") // the name may hold anything
	fields := strings.Fields(rest)
	if len(fields) < 13 {
		return 0
	}
	user, _ := strconv.Atoi(fields[11])
	system, _ := strconv.Atoi(fields[12])
	return time.Duration(user+system) * time.Second / ticks
}

// residentOf gives what a process holds in memory now and has held at most, in bytes.
func residentOf(pid int) (now, most int64) {
	data, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", pid))
	if err != nil {
		return 0, 0
	}
	for row := range strings.Lines(string(data)) {
		key, value, _ := strings.Cut(row, ":")
		n, _ := strconv.ParseInt(strings.TrimSuffix(strings.TrimSpace(value), " kB"), 10, 64)
		switch key {
		case "VmRSS":
			now = n << 10
		case "VmHWM":
			most = n << 10
		}
	}
	return now, most
}

// busyness is the kernel's load average over the last minute.
func busyness() string {
	data, _ := os.ReadFile("/proc/loadavg")
	first, _, _ := strings.Cut(string(data), " ")
	return first
}
