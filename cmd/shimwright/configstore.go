package main

import (
	"crypto/x509"
	"net"
	"strings"

	"go.yaml.in/yaml/v4"

	"shimwright/bot/store/redisstore"
	"shimwright/rules"
)

func (r *configReader) store(n *yaml.Node) {
	s := &r.c.store
	given := r.Mapping(n, "store",
		rules.May("file", r.path("file", &s.file)),
		rules.May("redis", r.redis),
	)
	if given["file"] != nil && given["redis"] != nil {
		r.Mistake(given["redis"], "keep one of them", "jobs are kept in a file or in redis, not in both")
	}
}

func (r *configReader) redis(n *yaml.Node) {
	s := &r.c.store
	password, sentinelPassword := r.secret("password", &s.password), r.secret("sentinel_password", &s.sentinelPassword)
	given := r.Mapping(n, "redis", append(append([]rules.Field{
		rules.Must("addresses", func(n *yaml.Node) { r.List(n, "addresses", r.address) }),
		rules.May("sentinel", r.Text("sentinel", 100, &s.sentinel)),
		rules.May("cluster", r.Yes("cluster", &s.cluster)),
		rules.May("database", r.Count("database", 0, 1023, &s.database)),
		rules.May("user", r.Text("user", 100, &s.user)),
		rules.May("sentinel_user", r.Text("sentinel_user", 100, &s.sentinelUser)),
		rules.May("tls", r.Yes("tls", &s.tls)),
		rules.May("tls_ca_file", r.roots),
		rules.May("prefix", r.Text("prefix", 40, &s.prefix)),
	}, password.fields...), sentinelPassword.fields...)...)
	password.read(given)
	sentinelPassword.read(given)
	if s.roots != nil && !s.tls {
		r.Mistake(given["tls_ca_file"], "add tls: yes", "tls_ca_file is given and tls is not on")
	}
	switch {
	case given["sentinel"] != nil && s.cluster:
		r.Mistake(given["sentinel"], "keep one of them", "a redis is found through sentinels or is a cluster, not both")
	case s.cluster && s.database != 0:
		r.Mistake(given["database"], "leave it out", "a cluster has database 0 alone")
	case len(s.addresses) > 1 && s.sentinel == "" && !s.cluster:
		r.Mistake(given["addresses"], "add cluster: yes, or sentinel: with the name of the group", "several addresses, and not what they are")
	}
	if s.prefix == "" {
		s.prefix = redisstore.DefaultPrefix
	} else if strings.ContainsFunc(s.prefix, func(c rune) bool { return !prefixRune(c) }) {
		r.Mistake(given["prefix"], "", "prefix may have letters, digits and - _ . : in it")
	}
	if s.password != "" && !s.tls {
		for _, a := range s.addresses {
			if host, _, _ := net.SplitHostPort(a); !loopbackHost(host) && !privateHost(host) {
				r.Look(given["addresses"], "add tls: yes", "the password goes to %s unencrypted", a)
			}
		}
	}
}

// roots reads the certificates of whoever signs for the servers.
func (r *configReader) roots(n *yaml.Node) {
	var file string
	if r.path("tls_ca_file", &file)(n); file == "" {
		return
	}
	data, err := readBounded(file)
	if err != nil {
		r.Mistake(n, "let it be readable for the user shimwright runs as", "%s: the file cannot be read: %v", file, err)
		return
	}
	pool := x509.NewCertPool()
	if !pool.AppendCertsFromPEM(data) {
		r.Mistake(n, "it begins with -----BEGIN CERTIFICATE-----", "%s has no certificate in it", file)
		return
	}
	r.c.store.roots = pool
}

func prefixRune(c rune) bool {
	return c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || strings.ContainsRune("-_.:", c)
}

func (r *configReader) address(n *yaml.Node) {
	var a string
	r.Text("an address", 260, &a)(n)
	if a == "" {
		return
	}
	host, port, err := net.SplitHostPort(a)
	if err != nil || host == "" || port == "" {
		r.Mistake(n, "write host:port, for example 127.0.0.1:6379", "%q is no address", a)
		return
	}
	r.c.store.addresses = append(r.c.store.addresses, a)
}

// name says which servers they are.
func (s *storeConfig) name() string { return strings.Join(s.addresses, ", ") }
