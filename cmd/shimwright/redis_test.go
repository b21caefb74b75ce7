package main

import (
	"bytes"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"fmt"
	"io"
	"math/big"
	"net"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"shimwright/bot/store/storetest"
)

// Each way to a Redis that the configuration knows: the doctor finds it well, serve
// works on it, and what was said is in it.
func TestServeOnEveryKindOfRedis(t *testing.T) {
	master := storetest.StartRedis(t)
	sentinel := storetest.StartSentinel(t, "shop", master)
	cluster := storetest.StartCluster(t, 3)
	folder := t.TempDir()
	secured := tlsRedis(t, folder)
	if err := os.WriteFile(filepath.Join(folder, "redis.password"), []byte("secretword\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ name, redis string }{
		{"one server", fmt.Sprintf("addresses: [%q], prefix: one", master.Addr)},
		{"sentinel", fmt.Sprintf("addresses: [%q], sentinel: shop", sentinel)},
		{"cluster", fmt.Sprintf("addresses: [%q, %q], cluster: yes", cluster[0], cluster[1])},
		{"cluster by one address", fmt.Sprintf("addresses: [%q], cluster: yes, prefix: two", cluster[2])},
		{"user and tls", fmt.Sprintf("addresses: [%q], user: shim, password_file: %s, tls: yes, tls_ca_file: %s", secured,
			filepath.Join(folder, "redis.password"), filepath.Join(folder, "ca.pem"))},
	} {
		t.Run(c.name, func(t *testing.T) {
			mm, dc := doctorGroups(t)
			file := doctorConfig(t, mm, dc, "store:\n  redis: {"+c.redis+"}\n")
			findings, text, code := examine(t, file)
			if code != exitOK || strings.Contains(listed(findings), "wrong ") {
				t.Fatalf("the doctor finds:\n%s", text)
			}
			says(t, findings, "ok store: can be written")
			s := startService(t, file)
			until(t, "connected", mm.online)
			thread := mm.thread(mm.say("ann", "", "open lapwing whine"))
			until(t, "open", func() bool { return len(mm.posts(thread)) == 1 })
			if out := mustRun(t, "", "store", "check", "--config", file); !strings.HasSuffix(out, ": 1 job, all is well\n") {
				t.Errorf("check says %q", out)
			}
			mustRun(t, "", "store", "compact", "--config", file)
			saved := filepath.Join(t.TempDir(), "saved")
			mustRun(t, "", "store", "backup", "--config", file, saved)
			var errOut bytes.Buffer
			code = run(surroundings{in: strings.NewReader(""), out: io.Discard, errOut: &errOut, getenv: noEnvironment}, []string{"store", "restore", "--replace", "--config", file, saved})
			if code != exitFail || !strings.Contains(errOut.String(), "other processes work on the store: 1 other process on ") {
				t.Errorf("restored under serve: exit %d, %s", code, errOut.String())
			}
			s.stop()
			if err := s.end(); err != nil {
				t.Fatal(err)
			}
			mustRun(t, "", "store", "restore", "--replace", "--config", file, saved)
			if out := mustRun(t, "", "store", "check", "--config", file); !strings.HasSuffix(out, ": 1 job, all is well\n") {
				t.Errorf("after the restore check says %q", out)
			}
		})
	}
}

// tlsRedis starts a server with TLS beside its plain port and a user that sees the
// program's keys alone, and gives the address with TLS. Its CA's certificate is
// ca.pem in the folder.
func tlsRedis(t *testing.T, folder string) string {
	t.Helper()
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	cert := &x509.Certificate{
		SerialNumber: big.NewInt(1), Subject: pkix.Name{CommonName: "the shop's own"}, NotBefore: time.Now().Add(-time.Hour), NotAfter: time.Now().Add(time.Hour),
		IsCA: true, BasicConstraintsValid: true, KeyUsage: x509.KeyUsageCertSign | x509.KeyUsageDigitalSignature, IPAddresses: []net.IP{net.IPv4(127, 0, 0, 1)},
	}
	signed, err := x509.CreateCertificate(rand.Reader, cert, cert, &key.PublicKey, key)
	if err != nil {
		t.Fatal(err)
	}
	private, err := x509.MarshalPKCS8PrivateKey(key)
	if err != nil {
		t.Fatal(err)
	}
	for name, block := range map[string]*pem.Block{"ca.pem": {Type: "CERTIFICATE", Bytes: signed}, "key.pem": {Type: "PRIVATE KEY", Bytes: private}} {
		if err := os.WriteFile(filepath.Join(folder, name), pem.EncodeToMemory(block), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	address := freeAddress(t)
	_, port, _ := net.SplitHostPort(address)
	// What deploy/README.md says a user needs.
	storetest.StartRedis(t, "--tls-port", port, "--tls-cert-file", filepath.Join(folder, "ca.pem"), "--tls-key-file", filepath.Join(folder, "key.pem"),
		"--tls-ca-cert-file", filepath.Join(folder, "ca.pem"), "--tls-auth-clients", "no",
		"--user", "shim", "on", ">secretword", "~shimwright.*", "~{shimwright.*", "-@all", "+@read", "+@write", "+@scripting", "+@connection", "+info", "+bgrewriteaof")
	return address
}
