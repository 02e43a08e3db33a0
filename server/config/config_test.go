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
