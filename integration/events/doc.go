// Package events tests whole events on a running server: through the public API,
// on both stores, with many watchers, and while things break.
package events
