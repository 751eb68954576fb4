package web

import (
	"net/http"

	"halfpear/casebook"
	"halfpear/design"
	"halfpear/tooth"
	"halfpear/web/api"
	"halfpear/words"
)

// bench keeps what was worked out for the cases that are open.
type bench struct{}

func newBench() *bench { return &bench{} }

// castKey names everything a cast is made from.
func castKey(c casebook.Case) string { return "" }

func (s *Server) engineRoutes() {}

func (s *Server) about(http.ResponseWriter, *http.Request) (any, error) {
	a := api.About{Version: s.Version, Profiles: []api.Choice{}, Materials: []api.Choice{}, Forms: map[string][]string{}, Teeth: []api.ToothName{}, Sites: []string{}}
	for k, forms := range design.Forms {
		for _, f := range forms {
			a.Forms[string(k)] = append(a.Forms[string(k)], string(f))
		}
	}
	for _, arch := range []tooth.Arch{tooth.Upper, tooth.Lower} {
		for _, n := range tooth.All(arch) {
			a.Teeth = append(a.Teeth, api.ToothName{Tooth: int(n), Universal: n.Universal(), Spoken: n.Spoken(), Kind: int(n.Kind())})
		}
	}
	for _, site := range tooth.Sites {
		a.Sites = append(a.Sites, string(site))
	}
	a.Terms = map[string]map[string]string{}
	for _, l := range words.Langs {
		a.Terms[string(l)] = words.Terms(l)
	}
	return a, nil
}
