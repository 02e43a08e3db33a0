package checks_test

import (
	"bytes"
	"errors"
	"fmt"
	"net/http"
	"strings"
	"testing"
	"time"

	apps "k8s.io/api/apps/v1"
	core "k8s.io/api/core/v1"
	policy "k8s.io/api/policy/v1"
	meta "k8s.io/apimachinery/pkg/apis/meta/v1"
	"k8s.io/apimachinery/pkg/labels"
	"k8s.io/apimachinery/pkg/util/intstr"
	"sigs.k8s.io/json"
	"sigs.k8s.io/yaml"
)

// manifests is what the file declares.
type manifests struct {
	deployment apps.Deployment
	service    core.Service
	disruption policy.PodDisruptionBudget
}

// decode reads the file into the types of Kubernetes; a field that they do not have is
// a fault, as it is for its server.
func decode(text []byte) (m manifests, err error) {
	for _, document := range bytes.Split(text, []byte("\n---\n")) {
		document, err := yaml.YAMLToJSONStrict(document)
		if err != nil {
			return m, err
		}
		var is meta.TypeMeta
		if err := json.UnmarshalCaseSensitivePreserveInts(document, &is); err != nil {
			return m, err
		}
		into, ok := map[meta.TypeMeta]any{
			{APIVersion: "apps/v1", Kind: "Deployment"}:            &m.deployment,
			{APIVersion: "v1", Kind: "Service"}:                    &m.service,
			{APIVersion: "policy/v1", Kind: "PodDisruptionBudget"}: &m.disruption,
		}[is]
		if !ok {
			return m, fmt.Errorf("nobody knows %v", is)
		}
		if strict, err := json.UnmarshalStrict(document, into); err != nil || len(strict) > 0 {
			return m, errors.Join(append(strict, err)...)
		}
	}
	return m, nil
}

// A field that Kubernetes does not know, and a kind of another version, are found.
func TestStrict(t *testing.T) {
	text := string(read(t, "kubernetes/rinktally.yaml"))
	for was, is := range map[string]string{
		"periodSeconds: 2":           "periodSecond: 2",
		"replicas: 2":                "replicas: two",
		"policy/v1":                  "policy/v1beta1",
		"minAvailable: 1\n":          "minAvailable: 1\n  minAvailable: 2\n",
		"sleep: {seconds: 5}":        "sleep: 5",
		"readOnlyRootFilesystem: tr": "readonlyRootFilesystem: tr",
	} {
		if !strings.Contains(text, was) {
			t.Fatalf("%q is not in the file", was)
		}
		if _, err := decode([]byte(strings.Replace(text, was, is, 1))); err == nil {
			t.Errorf("%q is accepted", is)
		}
	}
}

// What the manifests declare fits together and fits the server and its image.
func TestKubernetes(t *testing.T) {
	m, err := decode(read(t, "kubernetes/rinktally.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	pod := m.deployment.Spec.Template
	if len(pod.Spec.Containers) != 1 {
		t.Fatalf("%d containers", len(pod.Spec.Containers))
	}
	server := pod.Spec.Containers[0]

	// Everybody speaks of the same pods.
	selectors := map[string]*meta.LabelSelector{
		"Deployment": m.deployment.Spec.Selector, "PodDisruptionBudget": m.disruption.Spec.Selector,
		"Service": {MatchLabels: m.service.Spec.Selector}, "spread": pod.Spec.TopologySpreadConstraints[0].LabelSelector,
	}
	for name, s := range selectors {
		selector, err := meta.LabelSelectorAsSelector(s)
		if err != nil || selector.Empty() || !selector.Matches(labels.Set(pod.Labels)) {
			t.Errorf("%s selects %v, %v", name, selector, err)
		}
	}
	if n := *m.deployment.Spec.Replicas; n < 2 || m.disruption.Spec.MinAvailable.IntValue() >= int(n) {
		t.Errorf("of %d servers %v must stay, so that no node could be emptied", n, m.disruption.Spec.MinAvailable)
	}
	if roll := m.deployment.Spec.Strategy.RollingUpdate; roll.MaxUnavailable.IntValue() != 0 || roll.MaxSurge.IntValue() < 1 {
		t.Errorf("a new version takes a server away: %v", roll)
	}

	// The ports are the image's, and the probes ask what the server answers.
	ports := map[string]int32{}
	for _, p := range server.Ports {
		ports[p.Name] = p.ContainerPort
	}
	if ports["http"] != 7080 || ports["grpc"] != 7070 {
		t.Errorf("the ports are %v; the image listens at 7080 and 7070", ports)
	}
	for _, p := range m.service.Spec.Ports {
		if ports[p.TargetPort.StrVal] == 0 {
			t.Errorf("the service leads to %v, which is no port", p.TargetPort)
		}
	}
	for path, probe := range map[string]*core.Probe{"/livez": server.LivenessProbe, "/readyz": server.ReadinessProbe} {
		if probe.HTTPGet.Path != path || probe.HTTPGet.Port != intstr.FromString("http") {
			t.Errorf("%v is asked for %s", probe.HTTPGet, path)
		}
		if status, body := get(t, path); status != http.StatusOK {
			t.Errorf("%s: %d %s", path, status, body)
		}
	}
	if port := pod.Annotations["prometheus.io/port"]; port != "7090" || ports["metrics"] != 7090 {
		t.Errorf("Prometheus is sent to %s, the port is %d", port, ports["metrics"])
	}

	// Passwords are elsewhere.
	secret := false
	for _, v := range server.Env {
		switch v.Name {
		case "RINKTALLY_STORE":
			secret = v.Value == "" && v.ValueFrom.SecretKeyRef != nil && v.ValueFrom.SecretKeyRef.Name == "rinktally"
		case "RINKTALLY_METRICS_ADDR":
			if v.Value != ":7090" {
				t.Errorf("metrics are shown at %s", v.Value)
			}
		}
	}
	if !secret {
		t.Error("the address of the database is not taken from the secret")
	}

	// It runs as the image's user, without rights, and writes to its volume only.
	if s := pod.Spec.SecurityContext; !*s.RunAsNonRoot || *s.RunAsUser != 65532 || *s.FSGroup != 65532 || s.SeccompProfile.Type != core.SeccompProfileTypeRuntimeDefault {
		t.Errorf("it runs as %v", s)
	}
	if s := server.SecurityContext; *s.AllowPrivilegeEscalation || !*s.ReadOnlyRootFilesystem || len(s.Capabilities.Drop) != 1 || s.Capabilities.Drop[0] != "ALL" || len(s.Capabilities.Add) != 0 {
		t.Errorf("it may do more than it needs: %v", s)
	}
	if len(pod.Spec.Volumes) != 1 || len(server.VolumeMounts) != 1 || pod.Spec.Volumes[0].Name != server.VolumeMounts[0].Name || server.VolumeMounts[0].MountPath != "/data" {
		t.Errorf("the volumes are %v, mounted as %v", pod.Spec.Volumes, server.VolumeMounts)
	}

	// A stop ends calls before the pod is killed: 10 s is the default of --stop-timeout.
	grace, before := time.Duration(*pod.Spec.TerminationGracePeriodSeconds)*time.Second, time.Duration(server.Lifecycle.PreStop.Sleep.Seconds)*time.Second
	if grace < before+10*time.Second {
		t.Errorf("the pod is killed after %v, but waits %v and then up to 10 s", grace, before)
	}
	if server.Resources.Requests.Memory().Cmp(*server.Resources.Limits.Memory()) >= 0 {
		t.Errorf("memory: %v", server.Resources)
	}
}
