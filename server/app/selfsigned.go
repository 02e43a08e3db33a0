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
	certFile, keyFile     = "cert.pem", "key.pem"
	rootFile, rootKeyFile = "root.pem", "root-key.pem"
	organization          = "rinktally, made by itself"
	// certLife is how long a certificate holds; systems refuse much longer ones.
	certLife = 365 * 24 * time.Hour
	// rootLife is how long a root holds, which people install by hand.
	rootLife = 10 * certLife
	// certRenew is how long before its end a certificate is replaced at a start.
	certRenew = 30 * 24 * time.Hour
	// early is how long before now they hold: clocks at a rink differ.
	early = time.Hour
)

// privateNetworks are the addresses that mean another machine in each network: RFC
// 1918, 3927, 4193, 4291 and 6598.
var privateNetworks = []string{
	"10.0.0.0/8", "100.64.0.0/10", "127.0.0.0/8", "169.254.0.0/16", "172.16.0.0/12", "192.168.0.0/16", "::1/128", "fc00::/7", "fe80::/10",
}

// selfSigned returns a certificate for this machine's names and addresses, and the
// root that has signed it. Both are kept in a folder, so that people who have trusted
// them need not do so again. The certificate is made again when it ends soon or the
// machine has an address that it does not name; a phone that has the root notices
// nothing. Without a folder both last as long as the program.
func selfSigned(dir string, now time.Time) (pair *tls.Certificate, root *x509.Certificate, err error) {
	names, addresses := ownNames()
	signer, err := keptPair(dir, rootFile, rootKeyFile)
	if err == nil && (signer == nil || !now.Add(certRenew).Before(signer.Leaf.NotAfter)) {
		signer, err = makePair(dir, rootFile, rootKeyFile, rootOf(names, addresses, now), nil)
	}
	if err != nil {
		return nil, nil, err
	}
	names, addresses = permitted(signer.Leaf, names, addresses)
	pair, err = keptPair(dir, certFile, keyFile)
	if err == nil && (pair == nil || !covers(pair.Leaf, names, addresses) || !now.Add(certRenew).Before(pair.Leaf.NotAfter) || pair.Leaf.CheckSignatureFrom(signer.Leaf) != nil) {
		pair, err = makePair(dir, certFile, keyFile, &x509.Certificate{
			Subject: pkix.Name{CommonName: names[0], Organization: []string{organization}}, NotBefore: now.Add(-early), NotAfter: now.Add(certLife),
			KeyUsage: x509.KeyUsageDigitalSignature, ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth}, DNSNames: names, IPAddresses: addresses,
		}, signer)
	}
	return pair, signer.Leaf, err
}

// keptPair reads a certificate with its key from a folder; nil where there is none yet.
func keptPair(dir, cert, key string) (*tls.Certificate, error) {
	if dir == "" {
		return nil, nil //nolint:nilnil // nil is none
	}
	pair, err := tls.LoadX509KeyPair(filepath.Join(dir, cert), filepath.Join(dir, key))
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, nil //nolint:nilnil // nil is none
	case err != nil:
		return nil, fmt.Errorf("%s in %s cannot be read, remove it to have a new one made: %w", cert, dir, err)
	}
	return &pair, nil
}

// makePair makes a certificate that a root signs, or itself where there is no root,
// and keeps it in a folder with its key. The root stands behind it in its file.
func makePair(dir, certName, keyName string, template *x509.Certificate, root *tls.Certificate) (*tls.Certificate, error) {
	private, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return nil, err
	}
	const serialBits = 120
	if template.SerialNumber, err = rand.Int(rand.Reader, new(big.Int).Lsh(big.NewInt(1), serialBits)); err != nil {
		return nil, err
	}
	template.BasicConstraintsValid = true
	parent, signer := template, any(private)
	if root != nil {
		parent, signer = root.Leaf, root.PrivateKey
	}
	der, err := x509.CreateCertificate(rand.Reader, template, parent, &private.PublicKey, signer)
	if err != nil {
		return nil, err
	}
	cert := pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: der})
	if root != nil {
		cert = append(cert, pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: root.Leaf.Raw})...)
	}
	secret, err := x509.MarshalPKCS8PrivateKey(private)
	if err != nil {
		return nil, err
	}
	key := pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: secret})
	if dir != "" {
		const folder, secret = 0o700, 0o600
		if err := os.MkdirAll(dir, folder); err != nil {
			return nil, err
		}
		if err := os.WriteFile(filepath.Join(dir, keyName), key, secret); err != nil {
			return nil, err
		}
		if err := os.WriteFile(filepath.Join(dir, certName), cert, secret); err != nil {
			return nil, err
		}
	}
	pair, err := tls.X509KeyPair(cert, key)
	return &pair, err
}

// rootOf is what a root may sign: certificates of servers with this machine's names,
// and with addresses of private networks, of which it may have another one tomorrow.
// Whoever trusts it trusts it for no other site.
func rootOf(names []string, addresses []net.IP, now time.Time) *x509.Certificate {
	ranges := make([]*net.IPNet, 0, len(privateNetworks)+len(addresses))
	for _, cidr := range privateNetworks {
		_, network, err := net.ParseCIDR(cidr)
		if err != nil {
			panic(err) // a slip in the list
		}
		ranges = append(ranges, network)
	}
	for _, ip := range addresses {
		if !inside(ranges, ip) {
			bits := 8 * len(shortest(ip))
			ranges = append(ranges, &net.IPNet{IP: shortest(ip), Mask: net.CIDRMask(bits, bits)})
		}
	}
	return &x509.Certificate{
		Subject: pkix.Name{CommonName: "rinktally on " + names[0], Organization: []string{organization}}, NotBefore: now.Add(-early), NotAfter: now.Add(rootLife),
		IsCA: true, MaxPathLenZero: true, KeyUsage: x509.KeyUsageCertSign, ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth},
		PermittedDNSDomainsCritical: true, PermittedDNSDomains: names, PermittedIPRanges: ranges,
	}
}

// permitted are the names and addresses that a root may sign.
func permitted(root *x509.Certificate, names []string, addresses []net.IP) ([]string, []net.IP) {
	return slices.DeleteFunc(names, func(name string) bool { return !slices.Contains(root.PermittedDNSDomains, name) }),
		slices.DeleteFunc(addresses, func(ip net.IP) bool { return !inside(root.PermittedIPRanges, ip) })
}

func inside(ranges []*net.IPNet, ip net.IP) bool {
	return slices.ContainsFunc(ranges, func(network *net.IPNet) bool { return network.Contains(ip) })
}

// shortest is an address as certificates hold it: 4 bytes of IPv4.
func shortest(ip net.IP) net.IP {
	if v4 := ip.To4(); v4 != nil {
		return v4
	}
	return ip
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
func fingerprint(cert *x509.Certificate) string {
	sum := sha256.Sum256(cert.Raw)
	pairs := make([]string, len(sum))
	for i, b := range sum {
		pairs[i] = fmt.Sprintf("%02X", b)
	}
	return strings.Join(pairs, ":")
}
