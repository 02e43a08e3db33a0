package access

import (
	"maps"
	"slices"

	"google.golang.org/grpc"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// Need is what a method asks of its caller.
type Need struct {
	// Free methods touch no event. No token is looked at, so that they go on while
	// the store of tokens is away.
	Free bool
	// Open methods need nothing, but a token says who the caller is.
	Open bool
	// Read methods need nothing, or any role of the event where its reading is
	// restricted.
	Read bool
	// Book methods are for who holds the token of the book that the request names, and
	// for the Roles beside it, which hold tokens of the server.
	Book bool
	// Publish methods are for rinks that send copies of their events here, each with a
	// token that the server was started with.
	Publish bool
	// Roles are those that may call the method. ADMIN stands for ORGANISER
	// everywhere and is not named beside it.
	Roles []pb.Role_Value
}

// Needs is what methods ask of their callers, by full name. A method that is not
// here is refused to everybody.
type Needs map[string]Need

// Free is the needs of services that touch no event.
func Free(services ...grpc.ServiceDesc) Needs {
	needs := Needs{}
	for _, service := range services {
		for _, m := range service.Methods {
			needs["/"+service.ServiceName+"/"+m.MethodName] = Need{Free: true}
		}
		for _, m := range service.Streams {
			needs["/"+service.ServiceName+"/"+m.StreamName] = Need{Free: true}
		}
	}
	return needs
}

// Join returns the needs of several services together.
func Join(services ...Needs) Needs {
	all := Needs{}
	for _, needs := range services {
		maps.Copy(all, needs)
	}
	return all
}

// Allows reports whether a role may call the method. ROLE_UNSPECIFIED is somebody
// without a token.
func (n Need) Allows(role pb.Role_Value) bool {
	switch {
	case n.Open:
		return true
	case n.Read:
		return role != pb.Role_ROLE_UNSPECIFIED
	case role == pb.Role_ADMIN && slices.Contains(n.Roles, pb.Role_ORGANISER):
		return true
	default:
		return slices.Contains(n.Roles, role)
	}
}
