package openapi

import "encoding/json"

// Document is an OpenAPI 3.1 document, as far as the contract needs the form.
type Document struct {
	OpenAPI    string             `json:"openapi"`
	Info       json.RawMessage    `json:"info"`
	Servers    json.RawMessage    `json:"servers"`
	Tags       []Tag              `json:"tags"`
	Paths      Ordered[*PathItem] `json:"paths"`
	Components Components         `json:"components"`
}

// Tag is a service.
type Tag struct {
	Name        string `json:"name"`
	Description string `json:"description"`
}

// PathItem is the calls of a path, by method in small letters.
type PathItem = Ordered[*Operation]

// Operation is a call.
type Operation struct {
	Tags        []string           `json:"tags"`
	ID          string             `json:"operationId"`
	Summary     string             `json:"summary"`
	Description string             `json:"description,omitempty"`
	GRPC        string             `json:"x-grpc"` // the call's full name
	Security    []Security         `json:"security"`
	Reasons     []string           `json:"x-reasons,omitempty"` // why this call may be refused, beside what any call may be refused for
	Parameters  []*Parameter       `json:"parameters,omitempty"`
	RequestBody *Body              `json:"requestBody,omitempty"`
	Responses   Ordered[*Response] `json:"responses"`
}

// Security is the ways in which a caller shows who it is; an empty one is none.
type Security map[string][]string

// Parameter is a part of the address or a header.
type Parameter struct {
	Name        string  `json:"name"`
	In          string  `json:"in"` // path, query, header
	Description string  `json:"description,omitempty"`
	Required    bool    `json:"required,omitempty"`
	Schema      *Schema `json:"schema"`
	Example     any     `json:"example,omitempty"`
}

// Body is what a request brings.
type Body struct {
	Required bool            `json:"required,omitempty"`
	Content  Ordered[*Media] `json:"content"`
}

// Response is an answer, or where it stands.
type Response struct {
	Reasons     []string        `json:"x-reasons,omitempty"` // of a refusal: those of any call
	Ref         string          `json:"$ref,omitempty"`
	Description string          `json:"description,omitempty"`
	Content     Ordered[*Media] `json:"content,omitempty"`
}

// Media is content of one media type.
type Media struct {
	Schema  *Schema         `json:"schema,omitempty"`
	Example json.RawMessage `json:"example,omitempty"`
	Events  []Event         `json:"x-events,omitempty"` // of text/event-stream
}

// Event is a Server-Sent Event of a stream.
type Event struct {
	Name        string  `json:"event"`
	Description string  `json:"description"`
	Data        *Schema `json:"data"` // of the JSON in its data
}

// Components are what other parts refer to.
type Components struct {
	Schemas         Ordered[*Schema]   `json:"schemas"`
	Responses       Ordered[*Response] `json:"responses"`
	SecuritySchemes json.RawMessage    `json:"securitySchemes"`
}

// Schema is the form of a value.
type Schema struct {
	Ref         string           `json:"$ref,omitempty"`
	Type        string           `json:"type,omitempty"`
	Format      string           `json:"format,omitempty"`
	Description string           `json:"description,omitempty"`
	Const       string           `json:"const,omitempty"`
	Enum        []string         `json:"enum,omitempty"`
	About       Ordered[string]  `json:"x-enumDescriptions,omitempty"` // what the names of an enum mean
	Pattern     string           `json:"pattern,omitempty"`
	Items       *Schema          `json:"items,omitempty"`
	Properties  Ordered[*Schema] `json:"properties,omitempty"`
	Required    []string         `json:"required,omitempty"`
	Additional  *Additional      `json:"additionalProperties,omitempty"`
	Unevaluated *Additional      `json:"unevaluatedProperties,omitempty"` // beside oneOf
	AllOf       []*Schema        `json:"allOf,omitempty"`
	AnyOf       []*Schema        `json:"anyOf,omitempty"`
	OneOf       []*Schema        `json:"oneOf,omitempty"`
	MediaType   string           `json:"contentMediaType,omitempty"`
}

// Additional is the form of members that have no name of their own; nil refuses them.
type Additional struct{ Schema *Schema }

// MarshalJSON writes a form or false.
func (a Additional) MarshalJSON() ([]byte, error) {
	if a.Schema == nil {
		return []byte("false"), nil
	}
	return json.Marshal(a.Schema)
}

// UnmarshalJSON reads a form or false.
func (a *Additional) UnmarshalJSON(data []byte) error {
	if string(data) == "false" {
		return nil
	}
	return json.Unmarshal(data, &a.Schema)
}
