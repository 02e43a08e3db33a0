// Package checks tests what operators load into programs of others, by the code of
// those programs: manifests by the types of Kubernetes, queries by the parser of
// Prometheus, and both against a running server. It is a module of its own, since that
// code is large.
package checks
