package web

import (
	"crypto/subtle"
	"fmt"
	"net"
	"net/http"
	"net/url"
	"strings"

	"halfpear/words"
)

// contentPolicy lets the page load nothing but its own files. Pictures may also come from
// memory (blob:) for downloads made in the page.
const contentPolicy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob: data:; font-src 'self'; " +
	"connect-src 'self'; worker-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'"

// guard refuses whatever does not come from the workbench's own page. A page of a
// stranger that the same browser has open can reach a loopback address, by name (its own
// name pointed at 127.0.0.1) or by number; so the name that was asked for, the page that
// asks and the token are all checked before anything else happens.
func (s *Server) guard(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", contentPolicy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("X-Frame-Options", "DENY")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Permissions-Policy", "camera=(), microphone=(), geolocation=(), payment=(), usb=(), serial=(), hid=()")
		h.Set("Cache-Control", "no-store")

		if !s.ownHost(r.Host) {
			refuse(w, r, http.StatusMisdirectedRequest, words.Tell("this address is not the workbench's own: open the one that halfpear serve printed"))
			return
		}
		if !s.ownPage(r) {
			refuse(w, r, http.StatusForbidden, words.Tell("the request came from another page and was not carried out"))
			return
		}
		if strings.HasPrefix(r.URL.Path, enterPath) {
			s.enter(w, r)
			return
		}
		if !s.knows(r) {
			refuse(w, r, http.StatusUnauthorized, words.Tell("open the address that halfpear serve printed, with the key in it; this browser does not have the key"))
			return
		}
		next.ServeHTTP(w, r)
	})
}

// ownHost tells whether the Host header names an address the server listens on.
func (s *Server) ownHost(host string) bool {
	name, port, err := net.SplitHostPort(host)
	if err != nil {
		return false
	}
	if port != s.port {
		return false
	}
	name = strings.ToLower(name)
	for _, own := range s.hosts {
		if name == own {
			return true
		}
	}
	return false
}

// ownPage tells whether the request was made by the workbench's own page, or by the user
// typing the address. A request without any mark of its origin comes from no browser
// page; it still needs the key.
func (s *Server) ownPage(r *http.Request) bool {
	if origin := r.Header.Get("Origin"); origin != "" {
		u, err := url.Parse(origin)
		return err == nil && u.Scheme == "http" && u.Host == r.Host
	}
	switch r.Header.Get("Sec-Fetch-Site") {
	case "", "same-origin":
		return true
	case "none": // typed, or opened from outside the browser
		return r.Method == http.MethodGet
	default:
		// A link on another page may bring the user here, but only as a whole page.
		return r.Method == http.MethodGet && r.Header.Get("Sec-Fetch-Mode") == "navigate" && r.Header.Get("Sec-Fetch-Dest") == "document"
	}
}

const enterPath = "/enter/"

// cookieName differs from port to port, because cookies do not.
func (s *Server) cookieName() string { return "halfpear-" + s.port }

// enter swaps the key in the address for a cookie, so that it does not stay in the
// address bar.
func (s *Server) enter(w http.ResponseWriter, r *http.Request) {
	key := strings.TrimPrefix(r.URL.Path, enterPath)
	if r.Method != http.MethodGet || !same(key, s.Token) {
		refuse(w, r, http.StatusUnauthorized, words.Tell("the key in this address is not the one in use: open the address that halfpear serve printed last"))
		return
	}
	http.SetCookie(w, &http.Cookie{Name: s.cookieName(), Value: s.Token, Path: "/", HttpOnly: true, SameSite: http.SameSiteStrictMode, MaxAge: 400 * 24 * 3600})
	// A redirect would be followed without the new cookie when a link outside the
	// browser's own pages led here, so a page of our own goes on.
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.Header().Set("Refresh", "0; url=/")
	l := language(r)
	fmt.Fprintf(w, `<!doctype html><html lang="%s"><meta charset="utf-8"><title>Halfpear</title><p><a href="/">%s</a></p></html>`, l, words.Tell("Open the workbench").In(l))
}

// knows tells whether the request carries the key, as a cookie or, for programs, in the
// Authorization header.
func (s *Server) knows(r *http.Request) bool {
	if c, err := r.Cookie(s.cookieName()); err == nil && same(c.Value, s.Token) {
		return true
	}
	key, ok := strings.CutPrefix(r.Header.Get("Authorization"), "Bearer ")
	return ok && same(key, s.Token)
}

func same(a, b string) bool { return subtle.ConstantTimeCompare([]byte(a), []byte(b)) == 1 }

// refuse answers in plain words, for a person who sees it bare in the browser.
func refuse(w http.ResponseWriter, r *http.Request, status int, why words.Text) {
	w.Header().Set("Content-Type", "text/plain; charset=utf-8")
	w.WriteHeader(status)
	fmt.Fprintln(w, "Halfpear: "+why.In(language(r))+".")
}
