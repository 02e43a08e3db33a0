// Command contract is a plugin of the protocol compiler. It writes what those who
// call over REST see of the protos: the OpenAPI document, and for the JavaScript
// client the path of every call (contract.js) and the type of every message
// (contract.d.ts). "make generate" runs it.
package main

import (
	"fmt"
	"io"
	"log"
	"os"

	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/types/descriptorpb"
	"google.golang.org/protobuf/types/pluginpb"
)

func main() {
	log.SetFlags(0)
	if err := run(os.Stdin, os.Stdout); err != nil {
		log.Fatalf("contract: %v", err)
	}
}

// run answers a request of the compiler. The files that it writes are named from the
// top of the project.
func run(in io.Reader, out io.Writer) error {
	data, err := io.ReadAll(in)
	if err != nil {
		return err
	}
	var request pluginpb.CodeGeneratorRequest
	if err := proto.Unmarshal(data, &request); err != nil {
		return err
	}
	c, err := readFiles(&descriptorpb.FileDescriptorSet{File: request.GetProtoFile()})
	if err != nil {
		return err
	}
	examples, err := readExamples(examplesFile)
	if err != nil {
		return fmt.Errorf("%s: %w", examplesFile, err)
	}
	document, err := c.openAPI(examples)
	if err != nil {
		return err
	}
	response := &pluginpb.CodeGeneratorResponse{SupportedFeatures: proto.Uint64(uint64(pluginpb.CodeGeneratorResponse_FEATURE_PROTO3_OPTIONAL))}
	for _, f := range []struct {
		name string
		text []byte
	}{
		{"proto/openapi/openapi.json", document},
		{"client/web/contract.js", c.javaScript()},
		{"client/web/contract.d.ts", c.typeScript()},
	} {
		response.File = append(response.File, &pluginpb.CodeGeneratorResponse_File{Name: proto.String(f.name), Content: proto.String(string(f.text))})
	}
	if data, err = proto.Marshal(response); err != nil {
		return err
	}
	_, err = out.Write(data)
	return err
}
