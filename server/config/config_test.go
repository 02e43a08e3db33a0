package config_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/spf13/pflag"

	"github.com/rinktally/rinktally/server/config"
)

// load settles the settings from arguments, variables and a file.
func load(t *testing.T, args []string, env map[string]string, file string) (config.Config, error) {
	t.Helper()
	var c config.Config
	flags := pflag.NewFlagSet("test", pflag.ContinueOnError)
	flags.String(config.FileFlag, "", "")
	c.Register(flags)
	if file != "" {
		path := filepath.Join(t.TempDir(), "settings.yaml")
		if err := os.WriteFile(path, []byte(file), 0o600); err != nil {
			t.Fatal(err)
		}
		args = append(args, "--config", path)
	}
	if err := flags.Parse(args); err != nil {
		t.Fatal(err)
	}
	err := c.Load(flags, func(name string) (string, bool) {
		value, ok := env[name]
		return value, ok
	})
	return c, err
}

func TestFlagsWinOverVariablesOverFileOverDefaults(t *testing.T) {
	c, err := load(t,
		[]string{"--grpc-addr", "flag:1"},
		map[string]string{"RINKTALLY_GRPC_ADDR": "variable:1", "RINKTALLY_HTTP_ADDR": "variable:2"},
		"grpc-addr: file:1\nhttp-addr: file:2\ndata: file-data\ndeadline: 3s\ncors-origins: [https://a.example, https://b.example]\n")
	if err != nil {
		t.Fatal(err)
	}
	if c.GRPCAddr != "flag:1" || c.HTTPAddr != "variable:2" || c.Data != "file-data" || c.Deadline != 3*time.Second || c.MaxBody != 1<<20 {
		t.Errorf("%+v", c)
	}
	if strings.Join(c.CORSOrigins, " ") != "https://a.example https://b.example" {
		t.Errorf("%v", c.CORSOrigins)
	}
}

func TestDefaultsAreLoopback(t *testing.T) {
	c, err := load(t, nil, nil, "")
	if err != nil || c.GRPCAddr != "127.0.0.1:7070" || c.HTTPAddr != "127.0.0.1:7080" {
		t.Errorf("%+v, %v", c, err)
	}
}

func TestAllFaultsOfTheSettingsAreTold(t *testing.T) {
	_, err := load(t, []string{"--max-body", "0", "--tls-cert", "x.pem"},
		map[string]string{"RINKTALLY_DEADLINE": "soon"}, "nonsense: 1\nrate: fast\n")
	if err == nil {
		t.Fatal("no fault")
	}
	for _, want := range []string{"--max-body", "--tls-key", "RINKTALLY_DEADLINE", "settings.yaml:1: nonsense", "settings.yaml:2: rate"} {
		if !strings.Contains(err.Error(), want) {
			t.Errorf("%q is not told in:\n%v", want, err)
		}
	}
}

// Each setting that cannot work is refused by its flag, and the nearest one that can
// is taken.
func TestBoundsOfSettings(t *testing.T) {
	for _, c := range []struct{ bad, good, told string }{
		{"--grpc-addr=", "--grpc-addr=:0", "--grpc-addr"},
		{"--http-addr=", "--http-addr=:0", "--http-addr"},
		{"--tls-cert=x", "--tls-cert=x --tls-key=y", "--tls-cert"},
		{"--tls-key=y", "--tls-self", "--tls-cert"},
		{"--tls-self --tls-cert=x --tls-key=y", "", "--tls-self"},
		{"--store=mysql://x", "--store=postgres://x", "--store"},
		{"--store=x", "--store=postgresql://x", "--store"},
		{"--demo-speed=0", "--demo-speed=0.1", "--demo-speed"},
		{"--demo-speed=NaN", "", "--demo-speed"},
		{"--max-body=0", "--max-body=1", "--max-body"},
		{"--max-batch-body=0", "--max-batch-body=1", "--max-batch-body"},
		{"--max-message=0", "--max-message=1", "--max-message"},
		{"--rate-burst=0", "--rate-burst=1", "--rate-burst"},
		{"--log-first=-1", "--log-first=0", "--log-first"},
		{"--log-then-of=-1", "--log-then-of=0", "--log-first"},
		{"--deadline=-1s", "--deadline=0s", "--deadline"},
		{"--stop-timeout=-1s", "--stop-timeout=0s", "--deadline"},
		{"--rate=-1", "--rate=0", "--rate"},
		{"--rate=NaN", "", "--rate"},
		{"--memory=-1", "--memory=1", "--memory"},
		{"--read-rate=-1", "--read-rate=0", "--read-rate"},
		{"--read-burst=0", "--read-burst=1", "--read-burst"},
		{"--publish-to=scores.example --publish-token=x", "--publish-to=https://scores.example --publish-token=x", "--publish-to"},
		{"--publish-to=https://scores.example?x --publish-token=x", "--publish-to=https://scores.example/scores --publish-token=x", "--publish-to"},
		{"--publish-to=https://scores.example", "", "--publish-token"},
		{"--publish-token=x", "", "--publish-to"},
		{"--publish-events=spring-cup", "--publish-to=https://scores.example --publish-token=x --publish-events=spring-cup", "--publish-events"},
		{"--accept-publish-token=0123456789012345678", "--accept-publish-token=01234567890123456789", "--accept-publish-token"},
		{"--accept-publish-token=01234567890123456789 --store=postgres://x", "", "--accept-publish-token"},
		{"--proxies=proxy", "--proxies=10.0.0.1,2001:db8::/32", "--proxies"},
	} {
		if _, err := load(t, strings.Fields(c.bad), nil, ""); err == nil || !strings.Contains(err.Error(), c.told) {
			t.Errorf("%s: %v", c.bad, err)
		}
		if _, err := load(t, strings.Fields(c.good), nil, ""); err != nil {
			t.Errorf("%s: %v", c.good, err)
		}
	}
}

// A setting that the file leaves empty is refused: an empty address would be open
// to every network.
func TestEmptySettingsOfTheFile(t *testing.T) {
	_, err := load(t, nil, nil, "http-addr:\ngrpc-addr: {port: 7070}\ndata: \"\"\n")
	if err == nil {
		t.Fatal("no fault")
	}
	for _, want := range []string{"settings.yaml:1: http-addr", "settings.yaml:2: grpc-addr"} {
		if !strings.Contains(err.Error(), want) {
			t.Errorf("%q is not told in:\n%v", want, err)
		}
	}
	if strings.Contains(err.Error(), "data") {
		t.Errorf("data may be empty, since then nothing is kept: %v", err)
	}
}

func TestTLS(t *testing.T) {
	for args, want := range map[string]bool{"": false, "--tls-self": true, "--tls-cert=x --tls-key=y": true} {
		if c, err := load(t, strings.Fields(args), nil, ""); err != nil || c.TLS() != want {
			t.Errorf("%q: TLS is %v, %v", args, c.TLS(), err)
		}
	}
}

func TestMissingFile(t *testing.T) {
	_, err := load(t, []string{"--config", filepath.Join(t.TempDir(), "none.yaml")}, nil, "")
	if err == nil || !strings.Contains(err.Error(), "none.yaml") {
		t.Errorf("%v", err)
	}
}

func TestReferenceNamesEverySetting(t *testing.T) {
	var c config.Config
	flags := pflag.NewFlagSet("test", pflag.ContinueOnError)
	c.Register(flags)
	var page strings.Builder
	if err := config.Reference(&page, flags); err != nil {
		t.Fatal(err)
	}
	flags.VisitAll(func(f *pflag.Flag) {
		if !strings.Contains(page.String(), "`--"+f.Name+"` | `"+config.Env(f.Name)+"`") {
			t.Errorf("--%s is missing", f.Name)
		}
	})
}
