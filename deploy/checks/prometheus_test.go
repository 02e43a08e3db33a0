package checks_test

import (
	"encoding/json"
	"errors"
	"log/slog"
	"os"
	"os/exec"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/prometheus/common/expfmt"
	"github.com/prometheus/common/model"
	"github.com/prometheus/prometheus/model/labels"
	"github.com/prometheus/prometheus/model/rulefmt"
	"github.com/prometheus/prometheus/promql/parser"
)

var promql = parser.NewParser(parser.Options{})

// added are the labels that Prometheus adds to what a server shows.
var added = []string{"instance", "job"}

// metrics is what a server shows: by name the values of each label.
type metrics map[string]map[string][]string

func shown(t *testing.T) metrics {
	t.Helper()
	_, text := get(t, "/metrics")
	texts := expfmt.NewTextParser(model.LegacyValidation)
	families, err := texts.TextToMetricFamilies(strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	m := metrics{
		"up":     {}, // Prometheus' own
		"ALERTS": {"alertname": nil, "alertstate": {"firing", "pending"}},
	}
	for name, family := range families {
		names := []string{name}
		if of := family.GetMetric()[0]; of.GetHistogram() != nil || of.GetSummary() != nil {
			names = []string{name + "_bucket", name + "_sum", name + "_count"}
		}
		for _, name := range names {
			m[name] = map[string][]string{}
			if strings.HasSuffix(name, "_bucket") {
				m[name]["le"] = nil
			}
			for _, series := range family.GetMetric() {
				for _, l := range series.GetLabel() {
					m[name][l.GetName()] = append(m[name][l.GetName()], l.GetValue())
				}
			}
		}
	}
	return m
}

// faults are what a query asks for that no server shows.
func (m metrics) faults(query string) []string {
	tree, err := promql.ParseExpr(query)
	if err != nil {
		return []string{err.Error()}
	}
	var list []string
	known := slices.Clone(added) // labels of all that the query looks at
	parser.Inspect(tree, func(node parser.Node, _ []parser.Node) error {
		selector, ok := node.(*parser.VectorSelector)
		if !ok {
			return nil
		}
		of, ok := m[selector.Name]
		if !ok {
			list = append(list, "there is no metric "+selector.Name)
			return nil
		}
		for name := range of {
			known = append(known, name)
		}
		for _, matcher := range selector.LabelMatchers {
			if matcher.Name == model.MetricNameLabel || slices.Contains(added, matcher.Name) {
				continue
			}
			values, ok := of[matcher.Name]
			if !ok {
				list = append(list, selector.Name+" has no label "+matcher.Name)
			}
			for _, value := range strings.Split(matcher.Value, "|") {
				exists := values == nil || slices.Contains(values, value)
				if ok && !exists && (matcher.Type == labels.MatchEqual || matcher.Type == labels.MatchRegexp) {
					list = append(list, selector.Name+" has no "+matcher.Name+" "+value)
				}
			}
		}
		return nil
	})
	parser.Inspect(tree, func(node parser.Node, _ []parser.Node) error {
		if sum, ok := node.(*parser.AggregateExpr); ok {
			for _, name := range sum.Grouping {
				if !slices.Contains(known, name) {
					list = append(list, "nothing has the label "+name)
				}
			}
		}
		return nil
	})
	return list
}

// A query that would show nothing is found.
func TestFaultsOfQueries(t *testing.T) {
	m := shown(t)
	for query, want := range map[string]string{
		`rinktally_events_lost > 0`:                               "there is no metric rinktally_events_lost",
		`rinktally_store_appends_total{result="ok"}`:              "rinktally_store_appends_total has no label result",
		`rinktally_store_appends_total{outcome=~"full|overfull"}`: "rinktally_store_appends_total has no outcome overfull",
		`sum by (rink) (rinktally_events_open)`:                   "nothing has the label rink",
		`rate(rinktally_store_append_seconds[5m])`:                "there is no metric rinktally_store_append_seconds",
		`sum(rinktally_events_open`:                               "unclosed left parenthesis",
	} {
		if got := m.faults(query); len(got) != 1 || !strings.Contains(got[0], want) {
			t.Errorf("%s: %q, want %q", query, got, want)
		}
	}
}

// Prometheus takes the alerts, what they look at is what a server shows, and each says
// what to do and has an example in alerts_test.yml.
func TestAlerts(t *testing.T) {
	rules, faults := rulefmt.Parse(read(t, "prometheus/alerts.yml"), false, model.LegacyValidation, promql, slog.New(slog.DiscardHandler))
	for _, fault := range faults {
		t.Error(fault)
	}
	tried := string(read(t, "prometheus/alerts_test.yml"))
	m := shown(t)
	checked := 0
	for _, group := range rules.Groups {
		for _, rule := range group.Rules {
			checked++
			for _, fault := range m.faults(rule.Expr) {
				t.Errorf("%s: %s", rule.Alert, fault)
			}
			if rule.Annotations["summary"] == "" || rule.Annotations["action"] == "" || rule.Labels["severity"] == "" || !strings.Contains(tried, `alertname="`+rule.Alert+`"`) {
				t.Errorf("%s: summary, action, severity or example is missing", rule.Alert)
			}
		}
	}
	if checked < 8 {
		t.Errorf("only %d alerts were found", checked)
	}
}

// Prometheus raises each alert in its example, and none when all is well.
func TestAlertsAreRaised(t *testing.T) {
	promtool, err := exec.LookPath("promtool")
	if err != nil {
		promtool = "../../.build/promtool"
	}
	out, err := exec.CommandContext(t.Context(), promtool, "test", "rules", "../prometheus/alerts_test.yml").CombinedOutput()
	if errors.Is(err, os.ErrNotExist) {
		t.Fatalf("promtool is not here; deploy/test/install.sh installs it: %v", err)
	}
	if err != nil {
		t.Errorf("%v: %s", err, out)
	}
}

// dashboard is what is looked at in the file for Grafana.
type dashboard struct {
	Panels []struct {
		ID          int
		Type, Title string
		Description string
		GridPos     struct{ X, Y, W, H int }
		Targets     []struct{ Expr, LegendFormat string }
	}
	Annotations struct{ List []struct{ Name, Expr string } }
}

// Every query of the dashboard asks for what a server shows, and no panel lies over
// another.
func TestDashboard(t *testing.T) {
	var d dashboard
	if err := json.Unmarshal(read(t, "grafana/dashboard.json"), &d); err != nil {
		t.Fatal(err)
	}
	m := shown(t)
	check := func(where, query string) {
		// Grafana puts a length of time in its place.
		for _, fault := range m.faults(strings.ReplaceAll(query, "$__rate_interval", "1m")) {
			t.Errorf("%s: %s", where, fault)
		}
	}
	for _, a := range d.Annotations.List {
		check(a.Name, strings.ReplaceAll(a.Expr, `, alertname=~"Rinktally.*"`, ""))
	}
	queries, ids, taken := 0, map[int]bool{}, map[[2]int]string{}
	for _, p := range d.Panels {
		if ids[p.ID] {
			t.Errorf("%s: another panel has its number", p.Title)
		}
		ids[p.ID] = true
		for x := p.GridPos.X; x < p.GridPos.X+p.GridPos.W; x++ {
			for y := p.GridPos.Y; y < p.GridPos.Y+p.GridPos.H; y++ {
				if other := taken[[2]int{x, y}]; other != "" || x >= 24 {
					t.Fatalf("%s lies over %q, or beyond the 24 columns", p.Title, other)
				}
				taken[[2]int{x, y}] = p.Title
			}
		}
		if p.Type != "row" && (p.Description == "" || len(p.Targets) == 0) {
			t.Errorf("%s: it says nothing, or asks for nothing", p.Title)
		}
		for _, target := range p.Targets {
			queries++
			check(p.Title, target.Expr)
			for _, label := range regexp.MustCompile(`\{\{(\w+)\}\}`).FindAllStringSubmatch(target.LegendFormat, -1) {
				if !slices.Contains(added, label[1]) && !strings.Contains(target.Expr, label[1]) {
					t.Errorf("%s: the answer has no label %s", p.Title, label[1])
				}
			}
		}
	}
	if queries < 20 {
		t.Errorf("only %d queries were found", queries)
	}
}
