package cli

import (
	"context"
	"crypto/rand"
	"encoding/base64"
	"errors"
	"fmt"
	"io/fs"
	"log/slog"
	"net"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"halfpear/store/sqlite"
	"halfpear/web"
)

type serveOptions struct {
	listen, data string
	names        []string
	open, newKey bool
}

func newServe(c *console) *cobra.Command {
	var o serveOptions
	cmd := &cobra.Command{
		Use:   "serve",
		Short: "Open the workbench: a drawing board in the browser",
		Long: `Serve the workbench to the browser of this machine and print the address to open.

The address holds a key that only this user's data folder knows. Other machines are not
answered unless --open is given together with an address of this machine's network; do
that only behind something that encrypts and knows its users.
` + exitHelp,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error { return runServe(cmd.Context(), c, o) },
	}
	f := cmd.Flags()
	f.StringVar(&o.listen, "listen", "127.0.0.1:7350", "address and port to listen on; port 0 takes a free one")
	f.StringVar(&o.data, "data", "", "folder that the cases are kept in (default: halfpear in the user's own data folder)")
	f.StringSliceVar(&o.names, "name", nil, "with --open: further host names the workbench may be asked under")
	f.BoolVar(&o.open, "open", false, "allow an address that other machines can reach")
	f.BoolVar(&o.newKey, "new-key", false, "make a new key; browsers that know the old one are shut out")
	return cmd
}

func runServe(ctx context.Context, c *console, o serveOptions) error {
	host, _, err := net.SplitHostPort(o.listen)
	if err != nil {
		return usagef("--listen %q: expected an address and a port, as in 127.0.0.1:7350", o.listen)
	}
	if ip := net.ParseIP(host); !o.open && host != "localhost" && (ip == nil || !ip.IsLoopback()) {
		return usagef("--listen %q: other machines could reach this address; give one of this machine's own, as in 127.0.0.1:7350, or allow it with --open", o.listen)
	}
	folder := o.data
	if folder == "" {
		if folder, err = dataFolder(); err != nil {
			return err
		}
	}
	if err := os.MkdirAll(folder, 0o700); err != nil {
		return fmt.Errorf("making the data folder: %w", err)
	}
	key, err := keyIn(folder, o.newKey)
	if err != nil {
		return err
	}
	store, err := sqlite.Open(ctx, filepath.Join(folder, "cases.db"), time.Now)
	if err != nil {
		return err
	}
	defer store.Close()
	var listen net.ListenConfig
	l, err := listen.Listen(ctx, "tcp", o.listen)
	if err != nil {
		return fmt.Errorf("listening on %s: %w; another workbench may be running there, choose another port with --listen", o.listen, err)
	}
	defer l.Close()
	example, err := demoCases.ReadFile("demo/lower-extension.yaml")
	if err != nil {
		return fmt.Errorf("reading the example: %w", err)
	}
	s, err := web.New(web.Options{Store: store, Token: key, Address: l.Addr().String(), Names: o.names, Version: Version, Now: time.Now,
		Random: rand.Reader, Log: slog.New(slog.NewTextHandler(c.err, nil)), Example: example})
	if err != nil {
		return err
	}
	if c.json {
		if err := c.answer(struct {
			Address string `json:"address"`
			Data    string `json:"data"`
		}{s.Entry(), folder}); err != nil {
			return err
		}
	} else {
		fmt.Fprintf(c.out, "The workbench is open at\n\n  %s\n\nCases are kept in %s. Stop with Ctrl-C.\n", s.Entry(), folder)
	}
	return s.Serve(ctx, l)
}

func dataFolder() (string, error) {
	if dir := os.Getenv("XDG_DATA_HOME"); filepath.IsAbs(dir) {
		return filepath.Join(dir, "halfpear"), nil
	}
	dir, err := os.UserConfigDir()
	if err != nil {
		return "", fmt.Errorf("finding the user's data folder: %w; name one with --data", err)
	}
	return filepath.Join(dir, "halfpear"), nil
}

// keyIn reads the folder's key, making one where there is none: 192 bits of chance, so
// that a browser which once had it stays known over restarts.
func keyIn(folder string, fresh bool) (string, error) {
	name := filepath.Join(folder, "key")
	text, err := os.ReadFile(name)
	if key := strings.TrimSpace(string(text)); err == nil && !fresh && len(key) >= 32 {
		return key, nil
	}
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return "", fmt.Errorf("reading the workbench's key: %w", err)
	}
	var b [24]byte
	if _, err := rand.Read(b[:]); err != nil {
		return "", fmt.Errorf("making the workbench's key: %w", err)
	}
	key := base64.RawURLEncoding.EncodeToString(b[:])
	if err := os.WriteFile(name, []byte(key+"\n"), 0o600); err != nil {
		return "", fmt.Errorf("keeping the workbench's key: %w", err)
	}
	if err := os.Chmod(name, 0o600); err != nil {
		return "", fmt.Errorf("keeping the workbench's key to this user: %w", err)
	}
	return key, nil
}
