package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/redis/go-redis/v9"
	"github.com/rogpeppe/go-internal/testscript"

	"shimwright/bot/store/boltstore"
)

func TestMain(m *testing.M) {
	if plan := os.Getenv(killChild); plan != "" {
		runKillChild(plan)
		return
	}
	testscript.Main(m, map[string]func(){"shimwright": func() {
		file := os.Getenv(clockFile)
		if file == "" {
			main()
			return
		}
		redis.SetLogger(silent{})
		os.Exit(run(surroundings{in: os.Stdin, out: os.Stdout, errOut: os.Stderr, getenv: os.Getenv, now: steppedClock(file)}, os.Args[1:]))
	}})
}

// The command as people call it; the scripts are in testdata/script.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir: "testdata/script",
		Setup: func(env *testscript.Env) error {
			env.Setenv("XDG_STATE_HOME", filepath.Join(env.WorkDir, "state"))
			env.Setenv("HOME", filepath.Join(env.WorkDir, "home"))
			env.Setenv("GORACE", "atexit_sleep_ms=0")
			for name, text := range map[string]string{
				"long.txt": strings.Repeat("lash 14 ", 12_500) + "\nlash 14\n",
				"many.txt": "open lapwing\n" + strings.Repeat("status\n", 300),
			} {
				if err := os.WriteFile(filepath.Join(env.WorkDir, name), []byte(text), 0o600); err != nil {
					return err
				}
			}
			return nil
		},
		Condition: func(cond string) (bool, error) {
			if cond != "root" {
				return false, fmt.Errorf("unknown condition %q", cond)
			}
			if os.Geteuid() == 0 {
				t.Log("NOT TESTED: a folder without permission, since root may write everywhere")
			}
			return os.Geteuid() == 0, nil
		},
	})
}

// The second program in a folder is told so.
func TestFolderInUse(t *testing.T) {
	folder := t.TempDir()
	held, err := boltstore.Open(filepath.Join(folder, "shop.db"), time.Second)
	if err != nil {
		t.Fatal(err)
	}
	defer held.Close()
	var out, errOut bytes.Buffer
	code := run(surroundings{in: strings.NewReader("jobs\n"), out: &out, errOut: &errOut, getenv: os.Getenv}, []string{"try", "--data", folder})
	if want := "leave the other shimwright that works there, or take another folder: --data DIR\n"; code != exitFail || !strings.HasSuffix(errOut.String(), want) || !strings.Contains(errOut.String(), folder) {
		t.Errorf("exit %d, %q", code, errOut.String())
	}
}

func TestNearestCommand(t *testing.T) {
	for _, c := range []struct{ typed, want string }{
		{"rty", "try"}, {"aks", "ask"}, {"sheet", "sheets"}, {"ruels", "rules"}, {"recomend", "recommend"}, {"patt", "pattern"},
		{"serve-all-of-it", ""}, {"x", ""},
	} {
		if got := nearest(c.typed, commands()); got != c.want {
			t.Errorf("nearest(%q) = %q, want %q", c.typed, got, c.want)
		}
	}
}
