// Package openapi holds the description of the REST interface, which "make generate"
// writes from the protos, and the types to read it with.
package openapi

import _ "embed"

// JSON is the OpenAPI 3.1 document of every REST path.
//
//go:embed openapi.json
var JSON []byte
