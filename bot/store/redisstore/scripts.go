package redisstore

import (
	"context"
	_ "embed"
	"strconv"
	"strings"

	"github.com/redis/go-redis/v9"

	"shimwright/bot/store"
)

//go:embed place.lua
var placeLua string

//go:embed commit.lua
var commitLua string

//go:embed claim.lua
var claimLua string

//go:embed abandon.lua
var abandonLua string

//go:embed beat.lua
var beatLua string

//go:embed extend.lua
var extendLua string

//go:embed waiting.lua
var waitingLua string

//go:embed peek.lua
var peekLua string

//go:embed next.lua
var nextLua string

//go:embed putfile.lua
var putFileLua string

// script is a script with its hash.
type script struct{ source, hash string }

type scripts struct{ commit, claim, abandon, beat, extend, waiting, peek, next, putFile script }

func newScripts() scripts {
	fill := strings.NewReplacer(
		"{{run}}", strconv.Itoa(store.RunLimit),
		"{{lookback}}", strconv.Itoa(store.Lookback),
		"{{horizon}}", strconv.FormatInt((store.MaxHold+store.ClockSlip).Microseconds(), 10),
	)
	make := func(source string) script {
		source = fill.Replace(source)
		return script{source: source, hash: redis.NewScript(source).Hash()}
	}
	return scripts{
		commit:  make(placeLua + commitLua),
		claim:   make(placeLua + claimLua),
		abandon: make(placeLua + abandonLua),
		beat:    make(beatLua),
		extend:  make(placeLua + extendLua),
		waiting: make(placeLua + waitingLua),
		peek:    make(peekLua),
		next:    make(nextLua),
		putFile: make(putFileLua),
	}
}

// call is one run of a script.
type call struct {
	script script
	keys   []string
	args   []any
}

// in adds the call to a pipeline, with the script's source or only its hash.
func (c call) in(ctx context.Context, pipe redis.Pipeliner, full bool) *redis.Cmd {
	if full {
		return pipe.Eval(ctx, c.script.source, c.keys, c.args...)
	}
	return pipe.EvalSha(ctx, c.script.hash, c.keys, c.args...)
}

// runOne is run for one script, which may share its round trip with others.
func (s *Store) runOne(ctx context.Context, c call) ([]*redis.Cmd, error) {
	for _, full := range []bool{false, true} {
		cmd := s.gather.do(ctx, c, full)
		if cmd == nil {
			return nil, s.fault(ctx, ctx.Err())
		}
		switch err := cmd.Err(); {
		case err == nil, err == redis.Nil:
			return []*redis.Cmd{cmd}, nil
		case full || !redis.HasErrorPrefix(err, "NOSCRIPT"):
			return nil, s.fault(ctx, err)
		}
	}
	return nil, nil
}

// run runs scripts in one round trip to each node, and once more in full those that
// a node did not know by their hash. The first error is returned; what the scripts
// did does not depend on that.
func (s *Store) run(ctx context.Context, calls ...call) ([]*redis.Cmd, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	if len(calls) == 1 && s.gather != nil {
		return s.runOne(ctx, calls[0])
	}
	cmds := make([]*redis.Cmd, len(calls))
	todo := make([]int, len(calls))
	for i := range todo {
		todo[i] = i
	}
	for _, full := range []bool{false, true} {
		pipe := s.client.Pipeline()
		for _, i := range todo {
			cmds[i] = calls[i].in(ctx, pipe, full)
		}
		pipe.Exec(ctx) // each command has its own error
		again := todo[:0]
		for _, i := range todo {
			err := cmds[i].Err()
			if !full && redis.HasErrorPrefix(err, "NOSCRIPT") {
				again = append(again, i)
			}
		}
		if todo = again; len(todo) == 0 {
			break
		}
	}
	for _, c := range cmds {
		if err := c.Err(); err != nil && err != redis.Nil {
			return nil, s.fault(ctx, err)
		}
	}
	return cmds, nil
}
