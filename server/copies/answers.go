package copies

import (
	"crypto/sha256"
	"encoding/hex"
	"maps"
	"slices"
	"strconv"
	"strings"

	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/reflect/protoregistry"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// Scoreboard is the call whose answer is live.
const Scoreboard = "GetScoreboard"

// calls are the public calls whose answers copies hold, with their services. What else
// everybody may call is answered from these, or streams.
var calls = map[string]string{
	Scoreboard: pb.ScoreboardService_ServiceDesc.ServiceName,
	"GetEvent": eventService, "GetCaller": eventService, "ListEntries": eventService, "ExportEntries": eventService,
	"GetPerformance": eventService, "GetSegmentStanding": eventService, "GetFinalStanding": eventService, "GetDocument": eventService,
}

var eventService = pb.EventService_ServiceDesc.ServiceName

// Method returns the full name of a call that copies hold the answers of.
func Method(call string) string { return "/" + calls[call] + "/" + call }

// callOf returns the call of a full name, "" when copies hold no answers of it.
func callOf(method string) string {
	call := method[strings.LastIndexByte(method, '/')+1:]
	if calls[call] == "" || Method(call) != method {
		return ""
	}
	return call
}

// Key names an answer: its call and its request.
func Key(a *pb.CopiedAnswer) string { return a.GetCall() + " " + string(a.GetRequest()) }

// Tag is the fingerprint of an answer.
func Tag(answer []byte) string { return short(answer) }

func short(data []byte) string {
	const bytes = 12
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:bytes])
}

// Digest is the fingerprint of a copy: its sequence number and the tags of its answers
// by their keys.
func Digest(seq uint64, answers map[string]*pb.CopiedAnswer) string {
	var all strings.Builder
	all.WriteString(strconv.FormatUint(seq, 10))
	for _, key := range slices.Sorted(maps.Keys(answers)) {
		all.WriteString("\n" + key + " " + answers[key].GetTag())
	}
	return short([]byte(all.String()))
}

// Pack makes what is sent of an answer. Equal answers are equal bytes, whatever the
// sequence number of the event.
func Pack(call string, req, res proto.Message) (*pb.CopiedAnswer, error) {
	request, err := pack(asked(req))
	if err != nil {
		return nil, err
	}
	if call != Scoreboard { // it keeps its own
		res = proto.Clone(res)
		setSequence(res, 0)
	}
	answer, err := pack(res)
	if err != nil {
		return nil, err
	}
	return &pb.CopiedAnswer{Call: call, Request: request, Answer: answer}, nil
}

func pack(m proto.Message) ([]byte, error) {
	return proto.MarshalOptions{Deterministic: true}.Marshal(m)
}

// asked returns a request with what it means by what it leaves out.
func asked(req proto.Message) proto.Message {
	if r, ok := req.(*pb.GetDocumentRequest); ok && r.GetFormat() == pb.DocumentFormat_DOCUMENT_FORMAT_UNSPECIFIED {
		r = proto.CloneOf(r)
		r.Format = pb.DocumentFormat_PDF
		return r
	}
	return req
}

// setSequence says in an answer at which sequence number of the event it was made. The
// scoreboard has that of the last change that can be seen on it, and keeps it.
func setSequence(res proto.Message, seq uint64) {
	if e, ok := res.(*pb.GetEventResponse); ok && e.GetEvent() != nil {
		e.Event.Sequence = seq
		return
	}
	if field := res.ProtoReflect().Descriptor().Fields().ByName("sequence"); field != nil {
		res.ProtoReflect().Set(field, protoreflect.ValueOfUint64(seq))
	}
}

// messages makes an empty request and answer of a call.
func messages(call string) (req, res proto.Message) {
	return message(call + "Request"), message(call + "Response")
}

func message(name string) proto.Message {
	kind, err := protoregistry.GlobalTypes.FindMessageByName(protoreflect.FullName("rinktally.v1." + name))
	if err != nil {
		panic(err) // the calls are those of the contract
	}
	return kind.New().Interface()
}
