package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"shimwright/bot/store/storetest"
)

const chatsFolder = "../../testdata/chats"

// The golden chats say the same on every store. After a wanted change:
//
//	go run ./cmd/shimwright try --update --script testdata/chats/NAME.txt
func TestGoldenChats(t *testing.T) {
	t.Parallel()
	files, err := filepath.Glob(filepath.Join(chatsFolder, "*.txt"))
	if err != nil || len(files) < 4 {
		t.Fatalf("%d chats in %s: %v", len(files), chatsFolder, err)
	}
	t.Run("bbolt", func(t *testing.T) {
		for _, file := range files {
			data := t.TempDir()
			if golden(t, file, "--data", data) {
				t.Run(strings.TrimSuffix(filepath.Base(file), ".txt")+"/sheet", func(t *testing.T) { fitsTwoPages(t, data) })
			}
		}
	})
	t.Run("Redis", func(t *testing.T) {
		files := chatFiles(t)
		server := storetest.StartRedis(t, "--databases", fmt.Sprint(len(files)))
		for i, file := range files {
			golden(t, file, "--store", fmt.Sprintf("redis://%s/%d", server.Addr, i))
		}
	})
}

// briefChats are those played everywhere in a short run, which is the one under the
// race detector: pictures, several threads, corrections, pages. A whole run plays all.
var briefChats = []string{"changed-their-mind", "photos", "readme", "two-jobs"}

// chatFiles gives the golden chats; in a short run the brief ones.
func chatFiles(t *testing.T) []string {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(chatsFolder, "*.txt"))
	if err != nil || len(files) < 4 {
		t.Fatalf("%d chats in %s: %v", len(files), chatsFolder, err)
	}
	if !testing.Short() {
		return files
	}
	brief := make([]string, len(briefChats))
	for i, name := range briefChats {
		brief[i] = filepath.Join(chatsFolder, name+".txt")
		if !slices.Contains(files, brief[i]) {
			t.Fatalf("%s is not there", brief[i])
		}
	}
	return brief
}

// golden plays a chat with the command itself.
func golden(t *testing.T, file string, args ...string) bool {
	return t.Run(strings.TrimSuffix(filepath.Base(file), ".txt"), func(t *testing.T) {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Contains(text, []byte("\nbot> ")) {
			t.Fatal("it says nothing of what the assistant answers")
		}
		var out, errOut bytes.Buffer
		code := run(surroundings{in: strings.NewReader(""), out: &out, errOut: &errOut, getenv: os.Getenv}, append([]string{"try", "--script", file}, args...))
		if code != exitOK {
			t.Errorf("exit %d\n%s", code, errOut.String())
		}
	})
}

// The README's transcript is one of the golden chats.
func TestTheReadmeShowsARealChat(t *testing.T) {
	chat, err := os.ReadFile(filepath.Join(chatsFolder, "readme.txt"))
	if err != nil {
		t.Fatal(err)
	}
	readme, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Contains(readme, append([]byte("```\n"), append(bytes.TrimLeft(chat, "\n"), "```\n"...)...)) {
		t.Error("README.md does not have testdata/chats/readme.txt as it is between two lines of ```")
	}
}
