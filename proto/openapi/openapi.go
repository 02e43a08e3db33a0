// Package openapi holds the description of the REST interface, generated from
// the protos by "make generate".
package openapi

import _ "embed"

// JSON is the OpenAPI 2.0 document of every REST path.
//
//go:embed rinktally.swagger.json
var JSON []byte
