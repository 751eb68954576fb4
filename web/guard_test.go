package web_test

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"log/slog"
	"net"
	"net/http"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
	"time"

	"halfpear/store/sqlite"
	"halfpear/web"
	"halfpear/web/api"
)

const testKey = "test-key-test-key-test-key-test-key"

// serve runs a workbench on a free port, with an empty store.
func serve(t testing.TB) *client { return serveExample(t, nil) }

func serveExample(t testing.TB, doc []byte) *client {
	t.Helper()
	ctx, stop := context.WithCancel(context.Background())
	store, err := sqlite.Open(ctx, filepath.Join(t.TempDir(), "cases.db"), time.Now)
	if err != nil {
		t.Fatal(err)
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	var log bytes.Buffer
	s, err := web.New(web.Options{Store: store, Token: testKey, Address: l.Addr().String(), Version: "test", Now: time.Now,
		Random: &counting{}, Log: slog.New(slog.NewTextHandler(&log, nil)), Example: doc})
	if err != nil {
		t.Fatal(err)
	}
	done := make(chan error)
	go func() { done <- s.Serve(ctx, l) }()
	t.Cleanup(func() {
		stop()
		if err := <-done; err != nil {
			t.Errorf("serving ended with %v", err)
		}
		store.Close()
		if t.Failed() {
			t.Log(log.String())
		}
	})
	return &client{t: t, base: "http://" + l.Addr().String(), host: l.Addr().String()}
}

// counting gives bytes that differ from call to call and are the same in each run.
type counting struct{ n byte }

func (c *counting) Read(p []byte) (int, error) {
	for i := range p {
		c.n = c.n*5 + 17
		p[i] = c.n
	}
	return len(p), nil
}

type client struct {
	t          testing.TB
	base, host string
}

// ask makes a request with the key and the page's own origin unless header says
// otherwise, and gives the status and the body.
func (c *client) ask(method, path string, body any, header map[string]string) (int, []byte, http.Header) {
	c.t.Helper()
	var send io.Reader
	kind := ""
	switch b := body.(type) {
	case nil:
	case []byte:
		send = bytes.NewReader(b)
	default:
		text, err := json.Marshal(b)
		if err != nil {
			c.t.Fatal(err)
		}
		send, kind = bytes.NewReader(text), "application/json"
	}
	r, err := http.NewRequest(method, c.base+path, send)
	if err != nil {
		c.t.Fatal(err)
	}
	if kind != "" {
		r.Header.Set("Content-Type", kind)
	}
	r.Header.Set("Authorization", "Bearer "+testKey)
	for k, v := range header {
		switch {
		case k == "Host":
			r.Host = v
		case v == "":
			r.Header.Del(k)
		default:
			r.Header.Set(k, v)
		}
	}
	res, err := (&http.Client{CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}).Do(r)
	if err != nil {
		c.t.Fatal(err)
	}
	defer res.Body.Close()
	text, err := io.ReadAll(res.Body)
	if err != nil {
		c.t.Fatal(err)
	}
	return res.StatusCode, text, res.Header
}

// do asks and decodes; the answer must be 200.
func (c *client) do(method, path string, body, into any) {
	c.t.Helper()
	status, text, _ := c.ask(method, path, body, nil)
	if status != http.StatusOK {
		c.t.Fatalf("%s %s answered %d: %s", method, path, status, text)
	}
	if into != nil {
		reflect.ValueOf(into).Elem().SetZero() // decoding would merge maps
		if err := json.Unmarshal(text, into); err != nil {
			c.t.Fatalf("%s %s answered %s: %v", method, path, text, err)
		}
	}
}

func TestGuard(t *testing.T) {
	c := serve(t)
	port := c.host[strings.LastIndex(c.host, ":"):]
	for _, v := range []struct {
		name   string
		method string
		header map[string]string
		want   int
	}{
		{"a program with the key", "GET", nil, 200},
		{"its own page", "GET", map[string]string{"Origin": c.base, "Sec-Fetch-Site": "same-origin"}, 200},
		{"under the name localhost", "GET", map[string]string{"Host": "localhost" + port, "Origin": "http://localhost" + port}, 200},
		{"no key", "GET", map[string]string{"Authorization": ""}, 401},
		{"a wrong key", "GET", map[string]string{"Authorization": "Bearer " + testKey + "x"}, 401},
		{"an empty key", "GET", map[string]string{"Authorization": "Bearer "}, 401},
		{"a wrong cookie", "GET", map[string]string{"Authorization": "", "Cookie": "halfpear-" + port[1:] + "=guess"}, 401},
		{"the key as a cookie of another port", "GET", map[string]string{"Authorization": "", "Cookie": "halfpear-1=" + testKey}, 401},
		{"the key as this port's cookie", "GET", map[string]string{"Authorization": "", "Cookie": "halfpear-" + port[1:] + "=" + testKey}, 200},
		{"a name pointed at this machine", "GET", map[string]string{"Host": "evil.example" + port}, 421},
		{"a name that begins like ours", "GET", map[string]string{"Host": "localhost.evil.example" + port}, 421},
		{"another port's name", "GET", map[string]string{"Host": "127.0.0.1:1"}, 421},
		{"no port", "GET", map[string]string{"Host": "127.0.0.1"}, 421},
		{"another page reading", "GET", map[string]string{"Origin": "http://evil.example"}, 403},
		{"another page writing", "POST", map[string]string{"Origin": "http://evil.example"}, 403},
		{"a page of another local server", "POST", map[string]string{"Origin": "http://127.0.0.1:1"}, 403},
		{"a sandboxed page", "POST", map[string]string{"Origin": "null"}, 403},
		{"the encrypted twin of our address", "POST", map[string]string{"Origin": "https://" + c.host}, 403},
		{"a form on another page", "POST", map[string]string{"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "navigate", "Sec-Fetch-Dest": "document"}, 403},
		{"a picture on another page", "GET", map[string]string{"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "no-cors", "Sec-Fetch-Dest": "image"}, 403},
		{"a frame on another page", "GET", map[string]string{"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "navigate", "Sec-Fetch-Dest": "iframe"}, 403},
		{"a page of the same site and another port", "POST", map[string]string{"Sec-Fetch-Site": "same-site"}, 403},
	} {
		t.Run(v.name, func(t *testing.T) {
			c := *c
			c.t = t
			var body any
			if v.method == "POST" {
				body = api.NewCase{Arch: "lower"}
			}
			status, text, header := c.ask(v.method, "/api/cases", body, v.header)
			if status != v.want {
				t.Fatalf("answered %d, want %d: %s", status, v.want, text)
			}
			if p := header.Get("Content-Security-Policy"); !strings.Contains(p, "default-src 'none'") || strings.Contains(p, "unsafe") {
				t.Errorf("content policy %q: expected one that allows nothing by default and nothing unsafe", p)
			}
			if header.Get("Access-Control-Allow-Origin") != "" {
				t.Error("another origin was let in")
			}
			if bytes.Contains(text, []byte(testKey)) {
				t.Error("the answer holds the key")
			}
		})
	}
	var list []api.Listed
	c.do("GET", "/api/cases", nil, &list)
	if len(list) != 0 {
		t.Fatalf("%d cases were made by requests that were refused", len(list))
	}
}

func TestEnter(t *testing.T) {
	c := serve(t)
	bare := map[string]string{"Authorization": ""}
	if status, _, h := c.ask("GET", "/enter/wrong", nil, bare); status != 401 || h.Get("Set-Cookie") != "" {
		t.Fatalf("a wrong key in the address answered %d with cookie %q", status, h.Get("Set-Cookie"))
	}
	status, _, h := c.ask("GET", "/enter/"+testKey, nil, bare)
	cookie := h.Get("Set-Cookie")
	if status != 200 || !strings.Contains(cookie, "HttpOnly") || !strings.Contains(cookie, "SameSite=Strict") {
		t.Fatalf("the key in the address answered %d with cookie %q", status, cookie)
	}
	cookie, _, _ = strings.Cut(cookie, ";")
	if status, _, _ := c.ask("GET", "/api/cases", nil, map[string]string{"Authorization": "", "Cookie": cookie}); status != 200 {
		t.Fatalf("with the cookie the list answered %d", status)
	}
}

// Whatever a browser puts into an address, no file of this machine comes back.
func TestNoPathIsTouched(t *testing.T) {
	c := serve(t)
	for _, path := range []string{"/../../../../etc/passwd", "/..%2f..%2f..%2fetc%2fpasswd", "/%2e%2e/%2e%2e/etc/passwd", "/assets/../../server.go",
		"/assets/..%5c..%5cserver.go", "/api/cases/..%2f..%2fetc%2fpasswd", "/api/cases/..%2f..%2fetc%2fpasswd/export", "//etc/passwd", "/C:/Windows/win.ini", "/api/cases/%00"} {
		_, text, _ := c.ask("GET", path, nil, nil)
		if bytes.Contains(text, []byte("root:")) || bytes.Contains(text, []byte("package web")) {
			t.Errorf("%s gave a file of this machine", path)
		}
	}
}

func TestLimits(t *testing.T) {
	c := serve(t)
	big := append([]byte(`{"arch":"lower","title":"`), bytes.Repeat([]byte("a"), 5<<20)...)
	if status, text, _ := c.ask("POST", "/api/cases", big, map[string]string{"Content-Type": "application/json"}); status != http.StatusRequestEntityTooLarge {
		t.Errorf("a case of 5 MB answered %d: %s", status, text)
	}
	if status, _, _ := c.ask("POST", "/api/cases", []byte(`{"arch":"lower"}`), map[string]string{"Content-Type": "text/plain"}); status != http.StatusUnsupportedMediaType {
		t.Errorf("JSON sent as text, as a form of another page could, answered %d", status)
	}
	if status, _, _ := c.ask("POST", "/api/cases", []byte(`{"arch":"lower","x":1}`), map[string]string{"Content-Type": "application/json"}); status != http.StatusBadRequest {
		t.Errorf("an unknown field answered %d", status)
	}
}
