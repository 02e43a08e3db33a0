package app

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/sha256"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"errors"
	"fmt"
	"io/fs"
	"math/big"
	"net"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

const (
	certFile, keyFile = "cert.pem", "key.pem"
	// certLife is how long a certificate holds; systems refuse much longer ones.
	certLife = 365 * 24 * time.Hour
	// certRenew is how long before its end a certificate is replaced at a start.
	certRenew = 30 * 24 * time.Hour
)

// selfSigned returns a certificate for this machine's names and addresses. It is
// kept in a folder, so that people who have trusted it need not do so again, and
// made again when it ends soon or the machine has an address that it does not
// name. Without a folder it lasts as long as the program.
func selfSigned(dir string, now time.Time) (*tls.Certificate, error) {
	names, addresses := ownNames()
	if dir != "" {
		kept, err := tls.LoadX509KeyPair(filepath.Join(dir, certFile), filepath.Join(dir, keyFile))
		switch {
		case err == nil && covers(kept.Leaf, names, addresses) && now.Add(certRenew).Before(kept.Leaf.NotAfter):
			return &kept, nil
		case err != nil && !errors.Is(err, fs.ErrNotExist):
			return nil, fmt.Errorf("the certificate in %s cannot be read, remove it to have a new one made: %w", dir, err)
		}
	}
	cert, key, err := makeCertificate(names, addresses, now)
	if err != nil {
		return nil, err
	}
	if dir != "" {
		const folder, secret = 0o700, 0o600
		if err := os.MkdirAll(dir, folder); err != nil {
			return nil, err
		}
		if err := os.WriteFile(filepath.Join(dir, keyFile), key, secret); err != nil {
			return nil, err
		}
		if err := os.WriteFile(filepath.Join(dir, certFile), cert, secret); err != nil {
			return nil, err
		}
	}
	pair, err := tls.X509KeyPair(cert, key)
	return &pair, err
}

func makeCertificate(names []string, addresses []net.IP, now time.Time) (cert, key []byte, err error) {
	private, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return nil, nil, err
	}
	const serialBits = 120
	serial, err := rand.Int(rand.Reader, new(big.Int).Lsh(big.NewInt(1), serialBits))
	if err != nil {
		return nil, nil, err
	}
	template := &x509.Certificate{
		SerialNumber: serial, Subject: pkix.Name{CommonName: names[0], Organization: []string{"rinktally, made by itself"}},
		NotBefore: now.Add(-time.Hour), NotAfter: now.Add(certLife), // clocks at a rink differ
		KeyUsage: x509.KeyUsageDigitalSignature, ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth},
		BasicConstraintsValid: true, DNSNames: names, IPAddresses: addresses,
	}
	der, err := x509.CreateCertificate(rand.Reader, template, template, &private.PublicKey, private)
	if err != nil {
		return nil, nil, err
	}
	secret, err := x509.MarshalPKCS8PrivateKey(private)
	if err != nil {
		return nil, nil, err
	}
	return pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: der}),
		pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: secret}), nil
}

// ownNames returns the names and addresses by which people reach this machine. Other
// IPv6 addresses than its loopback are left out: many systems change them daily,
// and with them the certificate would change.
func ownNames() ([]string, []net.IP) {
	var names []string
	if host, err := os.Hostname(); err == nil && host != "" {
		names = append(names, host)
		if !strings.Contains(host, ".") {
			names = append(names, host+".local")
		}
	}
	names = append(names, "localhost")
	addresses := []net.IP{net.IPv4(127, 0, 0, 1), net.IPv6loopback}
	return names, append(addresses, ipv4()...)
}

// ipv4 returns the machine's addresses in the networks that it is in.
func ipv4() []net.IP {
	var addresses []net.IP
	interfaces, _ := net.InterfaceAddrs() // without them the machine still has its loopback
	for _, a := range interfaces {
		if n, ok := a.(*net.IPNet); ok && n.IP.IsGlobalUnicast() && n.IP.To4() != nil {
			addresses = append(addresses, n.IP)
		}
	}
	return addresses
}

func covers(cert *x509.Certificate, names []string, addresses []net.IP) bool {
	return !slices.ContainsFunc(names, func(name string) bool { return !slices.Contains(cert.DNSNames, name) }) &&
		!slices.ContainsFunc(addresses, func(a net.IP) bool { return !slices.ContainsFunc(cert.IPAddresses, a.Equal) })
}

// fingerprint returns the SHA-256 of a certificate as browsers show it.
func fingerprint(cert *tls.Certificate) string {
	sum := sha256.Sum256(cert.Certificate[0])
	pairs := make([]string, len(sum))
	for i, b := range sum {
		pairs[i] = fmt.Sprintf("%02X", b)
	}
	return strings.Join(pairs, ":")
}
