// Package integration holds the tests that look at the whole: the same cases
// over every way in, the published score sheets through the API, wrong requests,
// reloads under load, and what may import what. It has no code of its own.
package integration
