//go:build js

// Command offline is the engine as WebAssembly: it answers calls of the contract in
// the REST form. engine.js starts it; its only argument is the name of a global that
// holds what it needs of the page and takes what it has for it.
package main

import (
	"archive/zip"
	"bytes"

	"context"
	"errors"
	"fmt"
	"os"
	"runtime/debug"
	"sync"
	"syscall/js"
	"testing/fstest"

	"github.com/rinktally/rinktally/client/offline/engine"
	"github.com/rinktally/rinktally/rules/table"
	"github.com/rinktally/rinktally/server/tables"
)

// garbage is what may come to the memory in use before it is collected, in percent: the
// first time at 6 MB. With one season ready the engine has allocated more than the usual
// 4 MB, and collecting on the way would take a tenth of the time until then.
const garbage = 150

func main() {
	debug.SetGCPercent(garbage)
	page := js.Global().Get(os.Args[1])
	h := &host{load: page.Get("load")}
	loaded, err := h.tables(page.Get("rules"))
	var e *engine.Engine
	if err == nil {
		e, err = engine.New(loaded)
	}
	if err != nil {
		page.Call("failed", err.Error())
		return
	}
	page.Call("ready", js.FuncOf(func(_ js.Value, args []js.Value) any {
		verb, target, body, done := args[0].String(), args[1].String(), args[2].String(), args[3]
		go h.answer(e, verb, target, body, done) // it may have to wait for a season
		return nil
	}))
	select {}
}

// host is the page or program around the engine.
type host struct {
	load js.Value // returns the promise of a file of tables

	mu      sync.Mutex // one call at a time, so that a failure is that of its call
	failure error      // why a file of tables did not come
}

// tables reads the tables: frozen seasons, loaded when they are asked for; with files
// of a club the seasons' own files, since those may rest on any of them.
func (h *host) tables(rules js.Value) (*tables.Tables, error) {
	if rules.IsNull() {
		headings, err := h.file("index")
		if err != nil {
			return nil, err
		}
		catalog, err := table.Thaw(headings, h.file)
		if err != nil {
			return nil, err
		}
		return tables.Over(catalog, nil)
	}
	data, err := h.file("sources.zip")
	if err != nil {
		return nil, err
	}
	sources, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return nil, fmt.Errorf("the seasons' files: %w", err)
	}
	own := fstest.MapFS{}
	for i := range rules.Length() {
		file := rules.Index(i)
		own[file.Index(0).String()] = &fstest.MapFile{Data: bytesOf(file.Index(1))}
	}
	return tables.Over(table.Read(table.Layer{Name: "embedded", FS: sources}), nil, table.Layer{Name: "rules", FS: own})
}

// answer answers a call: done is called with the status of HTTP and the JSON, or with
// 0 and words where the tables for it could not be loaded.
func (h *host) answer(e *engine.Engine, verb, target, body string, done js.Value) {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.failure = nil
	status, answer := e.Answer(context.Background(), verb, target, []byte(body))
	if h.failure != nil {
		status, answer = 0, []byte(h.failure.Error())
	}
	done.Invoke(status, string(answer))
}

// file waits for a file of tables.
func (h *host) file(name string) ([]byte, error) {
	type result struct {
		data []byte
		err  error
	}
	came := make(chan result, 1)
	good := js.FuncOf(func(_ js.Value, args []js.Value) any {
		came <- result{data: bytesOf(args[0])}
		return nil
	})
	defer good.Release()
	bad := js.FuncOf(func(_ js.Value, args []js.Value) any {
		came <- result{err: errors.New(args[0].Get("message").String())}
		return nil
	})
	defer bad.Release()
	h.load.Invoke(name).Call("then", good, bad)
	r := <-came
	if r.err != nil {
		h.failure = r.err
	}
	return r.data, r.err
}

// bytesOf copies a Uint8Array.
func bytesOf(v js.Value) []byte {
	data := make([]byte, v.Length())
	js.CopyBytesToGo(data, v)
	return data
}
