package app

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/x509"
	"math/big"
	"net"
	"os"
	"path/filepath"
	"testing"
	"time"
)

// The certificate is signed by a root that stays, as secret as it must be, and a phone
// that trusts the root trusts no other site by it.
func TestRootOfItsOwn(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "tls")
	now := time.Date(2026, 1, 15, 12, 0, 0, 0, time.UTC)
	pair, root, err := selfSigned(dir, now)
	if err != nil {
		t.Fatal(err)
	}
	if len(pair.Certificate) != 2 {
		t.Errorf("the server sends %d certificates, its own and the root's are 2", len(pair.Certificate))
	}
	for _, name := range []string{rootKeyFile, keyFile} {
		if info, err := os.Stat(filepath.Join(dir, name)); err != nil || info.Mode().Perm() != 0o600 {
			t.Errorf("%s: %v, %v", name, info.Mode(), err)
		}
	}
	roots := x509.NewCertPool()
	roots.AddCert(root)
	trusted := func(leaf *x509.Certificate, name string) error {
		_, err := leaf.Verify(x509.VerifyOptions{Roots: roots, DNSName: name, CurrentTime: now})
		return err
	}
	for _, name := range []string{"localhost", "127.0.0.1", "[::1]"} {
		if err := trusted(pair.Leaf, name); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	again, same, err := selfSigned(dir, now.Add(time.Hour))
	if err != nil || !again.Leaf.Equal(pair.Leaf) || !same.Equal(root) {
		t.Errorf("a restart makes others: %v", err)
	}
	// A year later the certificate is another one, the root is not.
	later, same, err := selfSigned(dir, now.Add(certLife))
	if err != nil || later.Leaf.Equal(pair.Leaf) || !same.Equal(root) || later.Leaf.CheckSignatureFrom(root) != nil {
		t.Errorf("a year later: %v, the same root: %v", err, same.Equal(root))
	}

	signer, err := keptPair(dir, rootFile, rootKeyFile)
	if err != nil {
		t.Fatal(err)
	}
	for name, template := range map[string]*x509.Certificate{
		"bank.example": {DNSNames: []string{"bank.example"}},
		"203.0.113.7":  {IPAddresses: []net.IP{net.IPv4(203, 0, 113, 7)}}, // an address for documents, RFC 5737
		"rink.example": {DNSNames: []string{"localhost", "rink.example"}},
	} {
		key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
		if err != nil {
			t.Fatal(err)
		}
		template.SerialNumber, template.NotBefore, template.NotAfter = big.NewInt(1), now.Add(-early), now.Add(certLife)
		template.ExtKeyUsage = []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth}
		der, err := x509.CreateCertificate(rand.Reader, template, root, &key.PublicKey, signer.PrivateKey)
		if err != nil {
			t.Fatal(err)
		}
		leaf, err := x509.ParseCertificate(der)
		if err != nil {
			t.Fatal(err)
		}
		if trusted(leaf, name) == nil {
			t.Errorf("the root can vouch for %s", name)
		}
	}
}

// A certificate of before there were roots is made again.
func TestCertificateWithoutARoot(t *testing.T) {
	dir := t.TempDir()
	now := time.Date(2026, 1, 15, 12, 0, 0, 0, time.UTC)
	names, addresses := ownNames()
	old, err := makePair(dir, certFile, keyFile, &x509.Certificate{NotBefore: now, NotAfter: now.Add(certLife), DNSNames: names, IPAddresses: addresses}, nil)
	if err != nil {
		t.Fatal(err)
	}
	pair, root, err := selfSigned(dir, now)
	if err != nil || pair.Leaf.Equal(old.Leaf) || pair.Leaf.CheckSignatureFrom(root) != nil {
		t.Errorf("it stays as it was: %v", err)
	}
	if err := os.WriteFile(filepath.Join(dir, rootFile), []byte("not one"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, _, err := selfSigned(dir, now); err == nil {
		t.Error("a root that cannot be read is no fault")
	}
}
