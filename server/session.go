package server

import (
	"context"
	"crypto/rand"
	"crypto/subtle"
	"encoding/base64"
	"errors"
	"fmt"
	"net/http"
	"strings"
	"sync"
	"time"

	"github.com/alexedwards/scs/v2"
	"golang.org/x/crypto/argon2"

	"coilwright/store"
)

const cookieName = "coilwright"

// newSessions keeps sessions in the database, so that any server there knows them.
func newSessions(st *store.Store, https bool) *scs.SessionManager {
	m := scs.New()
	m.Store = st.Sessions()
	m.Lifetime, m.IdleTimeout = 30*24*time.Hour, 0
	m.Cookie.Name, m.Cookie.HttpOnly, m.Cookie.SameSite = cookieName, true, http.SameSiteStrictMode
	m.Cookie.Path, m.Cookie.Secure = "/", https
	m.ErrorFunc = func(w http.ResponseWriter, _ *http.Request, _ error) {
		refuse(http.StatusServiceUnavailable, "The database does not answer; try again in a moment.").write(w)
	}
	return m
}

type whoKey struct{}

// known finds out who asks.
func (s *Server) known(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.TLS != nil {
			w.Header().Set("Strict-Transport-Security", "max-age=31536000")
		}
		a, err := s.asker(r.Context())
		if err == nil {
			err = a.isOf(r.Header.Get(personHeader))
		}
		if err != nil {
			s.said(err).(*Refusal).write(w)
			return
		}
		next.ServeHTTP(w, r.WithContext(context.WithValue(r.Context(), whoKey{}, a)))
	})
}

// asker is who asks: nobody where the account is empty.
type asker struct {
	store.Account
	Setup bool // there is no account yet, and one is needed
}

// hereName is who uses a program without accounts.
const hereName = "this machine"

func (s *Server) asker(ctx context.Context) (asker, error) {
	some, err := s.accounts.any(ctx, s.store)
	if err != nil {
		return asker{}, err
	}
	if !some && s.unlocked {
		return asker{Account: store.Account{ID: "here", Shop: store.Home, Name: hereName}}, nil
	}
	if !some {
		return asker{Setup: true}, nil
	}
	id := s.sessions.GetString(ctx, "account")
	if id == "" {
		return asker{}, nil
	}
	a, err := s.store.AccountByID(ctx, id)
	if errors.Is(err, store.ErrNotFound) {
		return asker{}, nil
	}
	return asker{Account: a}, err
}

// accountsKnown remembers that there are accounts, which never ends; that there are
// none it asks anew each second, since another server may have made one.
type accountsKnown struct {
	mu    sync.Mutex
	some  bool
	asked time.Time
}

func (k *accountsKnown) any(ctx context.Context, st *store.Store) (bool, error) {
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.some || time.Since(k.asked) < time.Second {
		return k.some, nil
	}
	some, err := st.HasAccounts(ctx)
	if err == nil {
		k.some, k.asked = some, time.Now()
	}
	return some, err
}

func (k *accountsKnown) made() {
	k.mu.Lock()
	k.some = true
	k.mu.Unlock()
}

// who gives who asks, or a refusal.
func who(ctx context.Context) (store.Who, error) {
	a, _ := ctx.Value(whoKey{}).(asker)
	switch {
	case a.Setup:
		return store.Who{}, refuse(http.StatusUnauthorized, "There is no account yet: make the first one.")
	case a.ID == "":
		return store.Who{}, refuse(http.StatusUnauthorized, "Sign in first.")
	}
	return store.Who{Shop: a.Shop, Account: a.ID, Name: a.Name}, nil
}

// SessionAnswer says who is signed in.
type SessionAnswer struct {
	SignedIn    bool   `json:"signed_in"`
	Name        string `json:"name"`
	Shop        string `json:"shop"`
	SetupNeeded bool   `json:"setup_needed" doc:"There is no account yet and one is needed: POST /api/setup"`
	Accounts    bool   `json:"accounts" doc:"Signing in and out makes sense here"`
}

type sessionOut struct{ Body SessionAnswer }

func (s *Server) registerSession() {
	const tag = "session"
	handle(s, operation("GET", "/api/session", "get-session", tag, "Who is signed in"), func(ctx context.Context, _ *struct{}) (*sessionOut, error) {
		a, _ := ctx.Value(whoKey{}).(asker)
		return &sessionOut{SessionAnswer{SignedIn: a.ID != "", Name: a.Name, Shop: a.ShopTitle, SetupNeeded: a.Setup, Accounts: a.Name != hereName}}, nil
	})
	handle(s, operation("POST", "/api/session", "sign-in", tag, "Sign in", 401), s.signIn)
	handle(s, operation("DELETE", "/api/session", "sign-out", tag, "Sign out"), func(ctx context.Context, _ *struct{}) (*struct{}, error) {
		return &struct{}{}, s.sessions.Destroy(ctx)
	})
	handle(s, operation("POST", "/api/setup", "make-first-account", tag, "Make the shop and its first account", 403, 409), s.setUp)
	op := operation("POST", "/api/accounts", "make-account", tag, "Make an account for somebody of the same shop", 409)
	op.DefaultStatus = http.StatusCreated
	handle(s, op, s.addAccount)
}

type credentials struct {
	Name     string `json:"name" minLength:"1" maxLength:"80" doc:"The name that you sign in with"`
	Password string `json:"password" minLength:"1" maxLength:"1024"`
}

func (s *Server) signIn(ctx context.Context, in *struct{ Body credentials }) (*sessionOut, error) {
	a, err := s.store.AccountByName(ctx, in.Body.Name)
	if err != nil && !errors.Is(err, store.ErrNotFound) {
		return nil, err
	}
	ok, err := s.check(ctx, in.Body.Password, a.Secret)
	if err != nil {
		return nil, err
	}
	if !ok {
		return nil, refuse(http.StatusUnauthorized, "The name and the password do not belong together.")
	}
	return s.enter(ctx, a)
}

// enter signs an account in, under a new token.
func (s *Server) enter(ctx context.Context, a store.Account) (*sessionOut, error) {
	if err := s.sessions.RenewToken(ctx); err != nil {
		return nil, err
	}
	s.sessions.Put(ctx, "account", a.ID)
	return &sessionOut{SessionAnswer{SignedIn: true, Name: a.Name, Shop: a.ShopTitle, Accounts: true}}, nil
}

type setupBody struct {
	Shop     string `json:"shop" minLength:"1" maxLength:"200" doc:"What the shop is called"`
	Name     string `json:"name" minLength:"1" maxLength:"80"`
	Password string `json:"password" minLength:"10" maxLength:"1024"`
	Code     string `json:"code,omitempty" maxLength:"64" doc:"The word that the program printed when it started"`
}

func (s *Server) setUp(ctx context.Context, in *struct{ Body setupBody }) (*sessionOut, error) {
	if !s.unlocked {
		if ok, err := s.codeIs(ctx, in.Body.Code); err != nil || !ok {
			return nil, errors.Join(err, refuse(http.StatusForbidden, "Give the code that the program printed in its terminal when it started."))
		}
	}
	secret, err := s.hash(ctx, in.Body.Password)
	if err != nil {
		return nil, err
	}
	a, err := s.store.First(ctx, in.Body.Shop, in.Body.Name, secret)
	if err != nil {
		return nil, err
	}
	s.accounts.made()
	return s.enter(ctx, a)
}

type accountOut struct {
	Body struct {
		ID   string `json:"id"`
		Name string `json:"name"`
	}
}

func (s *Server) addAccount(ctx context.Context, in *struct {
	Body struct {
		Name     string `json:"name" minLength:"1" maxLength:"80"`
		Password string `json:"password" minLength:"10" maxLength:"1024"`
	}
},
) (*accountOut, error) {
	w, err := who(ctx)
	if err != nil {
		return nil, err
	}
	if w.Name == hereName {
		return nil, refuse(http.StatusForbidden, "Make the first account first.")
	}
	secret, err := s.hash(ctx, in.Body.Password)
	if err != nil {
		return nil, err
	}
	a, err := s.store.AddAccount(ctx, w.Shop, in.Body.Name, secret)
	out := &accountOut{}
	out.Body.ID, out.Body.Name = a.ID, a.Name
	return out, err
}

// setupToken is the session under which the set-up code stands, so that every
// server on the database takes the code that any of them printed last.
const setupToken = "set-up code"

// SetupCode makes the code for the first account, where one is needed; else empty.
func (s *Server) SetupCode(ctx context.Context) (string, error) {
	some, err := s.store.HasAccounts(ctx)
	if err != nil || some || s.unlocked {
		return "", err
	}
	sessions := s.store.Sessions()
	if code, found, err := sessions.FindCtx(ctx, setupToken); err != nil || found {
		return string(code), err
	}
	code := strings.ToLower(rand.Text()[:12])
	return code, sessions.CommitCtx(ctx, setupToken, []byte(code), s.now().Add(24*time.Hour))
}

func (s *Server) codeIs(ctx context.Context, given string) (bool, error) {
	code, found, err := s.store.Sessions().FindCtx(ctx, setupToken)
	return found && subtle.ConstantTimeCompare(code, []byte(given)) == 1, err
}

// Cost of argon2id: RFC 9106 section 4, second recommended option (64 MiB, 3
// passes, 4 lanes).
const (
	passes   = 3
	memoryKB = 64 << 10
	lanes    = 4
	keyBytes = 32
)

// hash makes the secret that is kept of a password.
func (s *Server) hash(ctx context.Context, password string) (string, error) {
	salt := make([]byte, 16)
	rand.Read(salt) //nolint:errcheck // never fails, see crypto/rand
	key, err := s.derive(ctx, password, salt)
	return fmt.Sprintf("argon2id$%s$%s", base64.RawStdEncoding.EncodeToString(salt), base64.RawStdEncoding.EncodeToString(key)), err
}

// derive does the slow work, few at a time.
func (s *Server) derive(ctx context.Context, password string, salt []byte) ([]byte, error) {
	select {
	case s.hashing <- struct{}{}:
		defer func() { <-s.hashing }()
	case <-ctx.Done():
		return nil, refuse(http.StatusServiceUnavailable, "Too many sign in at once; try again in a moment.")
	}
	return argon2.IDKey([]byte(password), salt, passes, memoryKB, lanes, keyBytes), nil
}

// check compares a password with a secret. It takes as long where there is no
// secret, so that nobody learns by the time which names there are.
func (s *Server) check(ctx context.Context, password, secret string) (bool, error) {
	var salt, want []byte
	if parts := strings.Split(secret, "$"); len(parts) == 3 && parts[0] == "argon2id" {
		salt, _ = base64.RawStdEncoding.DecodeString(parts[1])
		want, _ = base64.RawStdEncoding.DecodeString(parts[2])
	}
	key, err := s.derive(ctx, password, salt)
	return err == nil && subtle.ConstantTimeCompare(key, want) == 1, err
}
