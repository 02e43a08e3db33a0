package deploy_test

import (
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/goccy/go-yaml"
	"github.com/spf13/pflag"

	"github.com/rinktally/rinktally/server/config"
)

// folder is what these tests are about.
const folder = "../../deploy"

// read returns a file of the folder.
func read(t *testing.T, name string) string {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(folder, name))
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

// parse reads a YAML file of the folder.
func parse(t *testing.T, name string, into any) {
	t.Helper()
	if err := yaml.Unmarshal([]byte(read(t, name)), into); err != nil {
		t.Fatalf("%s: %v", name, err)
	}
}

// all finds a pattern's first group in a text.
func all(pattern, text string) []string {
	var list []string
	for _, match := range regexp.MustCompile(pattern).FindAllStringSubmatch(text, -1) {
		list = append(list, match[1])
	}
	return list
}

// Every variable that a file names is a setting, or one of the token command.
func TestVariablesExist(t *testing.T) {
	known := map[string]bool{"RINKTALLY_TOKEN": true}
	var c config.Config
	flags := pflag.NewFlagSet("", pflag.ContinueOnError)
	c.Register(flags)
	flags.VisitAll(func(f *pflag.Flag) { known[config.Env(f.Name)] = true })
	found := map[string]bool{}
	err := fs.WalkDir(os.DirFS(folder), ".", func(name string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		for _, variable := range all(`\b(RINKTALLY_[A-Z_]+)`, read(t, name)) {
			found[variable] = true
			if !known[variable] {
				t.Errorf("%s: there is no setting %s", name, variable)
			}
		}
		return nil
	})
	if err != nil || len(found) < 8 {
		t.Errorf("found %v, %v", found, err)
	}
}

// Every command of the program that is written for people to type exists, with its
// flags.
func TestCommandsExist(t *testing.T) {
	checked := 0
	for _, text := range []string{read(t, "README.md"), read(t, "../README.md"), read(t, "../client/README.md"), read(t, "../rules/README.md"), read(t, "../DEVELOPERS.md"), read(t, "systemd/rinktally.service")} {
		for _, line := range all(`(?m)(?:^|[ =/\x60])rinktally ((?:serve|events|token|rules|config|healthcheck)\b[^\x60\n;]*)`, text) {
			words := strings.Fields(line)
			command := words[:1]
			if len(words) > 1 && slices.Contains([]string{"events", "token", "rules"}, words[0]) && !strings.HasPrefix(words[1], "-") {
				command = words[:2]
			}
			help := run(t, append(slices.Clone(command), "--help")...)
			if !strings.Contains(help, "rinktally "+strings.Join(command, " ")) {
				t.Errorf("there is no command %q", command)
			}
			for _, flag := range all(`(?:^|\s)(--[a-z-]+)`, line) {
				checked++
				if !regexp.MustCompile(flag + `\b[^-]`).MatchString(help) {
					t.Errorf("%q has no flag %s", command, flag)
				}
			}
		}
	}
	if checked < 25 {
		t.Errorf("only %d flags were found", checked)
	}
}

// The image is built with the Go of go.mod, is static, and runs as nobody.
func TestImage(t *testing.T) {
	file := read(t, "Dockerfile")
	module, err := os.ReadFile("../../go.mod")
	if err != nil {
		t.Fatal(err)
	}
	image, own := all(`FROM golang:(\S+) `, file), all(`(?m)^toolchain go(\S+)$`, string(module))
	if len(image) != 1 || !slices.Equal(image, own) {
		t.Errorf("the image is built with Go %v, go.mod says %v", image, own)
	}
	for _, want := range []string{
		"make wasm brotli=11", "CGO_ENABLED=0", "-X main.release=", "\nFROM scratch\n", "\nUSER 65532:65532\n",
		`CMD ["/rinktally", "healthcheck"]`, `ENTRYPOINT ["/rinktally"]`, `CMD ["serve"]`, "RINKTALLY_DATA=/data ", "VOLUME /data",
	} {
		if !strings.Contains(file, want) {
			t.Errorf("the Dockerfile has no %q", want)
		}
	}
	if source, err := os.ReadFile("../../server/cmd/rinktally/commands.go"); err != nil || !strings.Contains(string(source), "\nvar release string\n") {
		t.Errorf("main.release does not exist: %v", err)
	}
}

// compose is what the tests look at in compose.yaml.
type compose struct {
	Services map[string]struct {
		Image       string
		Environment map[string]string
		Volumes     []string
	}
	Volumes map[string]any
}

// The services fit together: who is asked exists, what is mounted is there, and no
// password is written down.
func TestServicesFitTogether(t *testing.T) {
	var c compose
	parse(t, "compose.yaml", &c)
	var servers []string
	for name, service := range c.Services {
		if service.Image == "rinktally" {
			servers = append(servers, name)
		} else if !regexp.MustCompile(`^[a-z/]+:v?\d`).MatchString(service.Image) {
			t.Errorf("%s: %q has no version", name, service.Image)
		}
		for variable, value := range service.Environment {
			if strings.Contains(variable, "PASSWORD") && !strings.HasPrefix(value, "${POSTGRES_PASSWORD:?") {
				t.Errorf("%s: %s is not taken from the environment", name, variable)
			}
		}
		for _, volume := range service.Volumes {
			from, _, _ := strings.Cut(volume, ":")
			if strings.HasPrefix(from, "./") {
				if _, err := os.Stat(filepath.Join(folder, from)); err != nil {
					t.Errorf("%s: %v", name, err)
				}
			} else if _, ok := c.Volumes[from]; !ok {
				t.Errorf("%s: there is no volume %s", name, from)
			}
		}
	}
	slices.Sort(servers)
	if len(servers) != 2 {
		t.Fatalf("the servers are %v", servers)
	}
	const metricsPort = ":7090"
	at := func(before, port string) []string {
		list := make([]string, len(servers))
		for i, s := range servers {
			list[i] = before + s + port
			if store := c.Services[s].Environment["RINKTALLY_STORE"]; !strings.Contains(store, ":${POSTGRES_PASSWORD:?") || !strings.Contains(store, "@postgres:") {
				t.Errorf("%s keeps its events in %q", s, store)
			}
			if open := c.Services[s].Environment["RINKTALLY_METRICS_ADDR"]; open != metricsPort {
				t.Errorf("%s shows its metrics at %q", s, open)
			}
		}
		return list
	}
	proxy := c.Services["proxy"].Environment
	if got := strings.Fields(proxy["HTTP_SERVERS"]); !slices.Equal(got, at("", ":7080")) {
		t.Errorf("the proxy passes HTTP to %v", got)
	}
	if got := strings.Fields(proxy["GRPC_SERVERS"]); !slices.Equal(got, at("h2c://", ":7070")) {
		t.Errorf("the proxy passes gRPC to %v", got)
	}
	caddy := read(t, "proxy/Caddyfile")
	for variable := range proxy {
		if !strings.Contains(caddy, "{$"+variable+":") {
			t.Errorf("the proxy does not use %s", variable)
		}
	}
	var scrapes struct {
		ScrapeConfigs []struct {
			StaticConfigs []struct{ Targets []string } `yaml:"static_configs"`
		} `yaml:"scrape_configs"`
	}
	parse(t, "prometheus/prometheus.yml", &scrapes)
	if got := scrapes.ScrapeConfigs[0].StaticConfigs[0].Targets; !slices.Equal(got, at("", metricsPort)) {
		t.Errorf("Prometheus asks %v", got)
	}
}

// The service is not root, and keeps its data where systemd makes a place for it.
func TestUnit(t *testing.T) {
	unit := map[string]string{}
	for _, line := range strings.Split(read(t, "systemd/rinktally.service"), "\n") {
		name, value, _ := strings.Cut(line, "=")
		unit[name] = value
	}
	if want := "RINKTALLY_DATA=/var/lib/" + unit["StateDirectory"]; unit["StateDirectory"] == "" || unit["Environment"] != want {
		t.Errorf("the data folder is set by %q, want %q", unit["Environment"], want)
	}
	if user := unit["User"]; user == "" || user == "root" {
		t.Errorf("it runs as %q", user)
	}
}

// systemd understands the units, and finds what they start where README.md puts it.
func TestUnits(t *testing.T) {
	root := t.TempDir()
	install := func(from, to string, mode os.FileMode) {
		t.Helper()
		to = filepath.Join(root, to)
		data, err := os.ReadFile(from)
		if err == nil {
			err = os.MkdirAll(filepath.Dir(to), 0o755)
		}
		if err == nil {
			err = os.WriteFile(to, data, mode)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	const executable, readable = 0o755, 0o644
	install(program, "usr/local/bin/rinktally", executable)
	install(filepath.Join(folder, "backup", "copy.sh"), "usr/local/lib/rinktally/copy.sh", executable)
	install("/bin/kill", "bin/kill", executable)
	units, err := filepath.Glob(filepath.Join(folder, "systemd", "rinktally*.*er*"))
	if err != nil || len(units) != 3 {
		t.Fatalf("the units are %v, %v", units, err)
	}
	verify := []string{"verify", "--root=" + root, "--man=no", "--recursive-errors=no"}
	for _, unit := range units {
		install(unit, filepath.Join("etc/systemd/system", filepath.Base(unit)), readable)
		verify = append(verify, filepath.Base(unit))
	}
	if out, err := exec.CommandContext(t.Context(), "systemd-analyze", verify...).CombinedOutput(); err != nil || len(out) > 0 {
		t.Errorf("%v\n%s", err, out)
	}
}
