package api

// OrderForm is the work order with what is missing.
type OrderForm struct {
	Number        string       `json:"number"`
	Revision      int          `json:"revision"`
	State         string       `json:"state"`
	Jurisdiction  string       `json:"jurisdiction"`
	Jurisdictions []Choice     `json:"jurisdictions"`
	Fields        []OrderField `json:"fields"`
	Gaps          []Gap        `json:"gaps"`
	Parts         []OrderPart  `json:"parts"`
	Issued        []Issue      `json:"issued"`
}

// OrderField is one entry of the order.
type OrderField struct {
	Number  int      `json:"number"`
	Name    string   `json:"name"`
	Label   string   `json:"label"`
	Text    string   `json:"text"`    // as printed
	Code    string   `json:"code"`    // as entered
	Entered bool     `json:"entered"` // whether it is entered here; else computed or filled by hand
	Need    string   `json:"need" jsonschema:"enum=optional,enum=legal,enum=needed,enum=conditional"`
	Choices []Choice `json:"choices"`
	Lines   bool     `json:"lines"` // free words
}

// Gap is one thing that is missing.
type Gap struct {
	Field string `json:"field"`
	Part  string `json:"part"`
	Tooth int    `json:"tooth"`
	Text  string `json:"text"`
	Rule  string `json:"rule"`
}

// OrderPart is one line of the order's part list.
type OrderPart struct {
	Number   int      `json:"number"`
	ID       string   `json:"id"`
	Title    string   `json:"title"`
	Where    string   `json:"where"`
	Material string   `json:"material"`
	Sizes    []string `json:"sizes"`
}

// Issue is a set of papers that went out.
type Issue struct {
	Number int    `json:"number"`
	Name   string `json:"name"`
	Digest string `json:"digest"`
	At     string `json:"at"`
	By     string `json:"by"`
}

// Sign asks to sign and issue the order as it stands.
type Sign struct {
	Base     int    `json:"base"`
	By       string `json:"by"`
	Language string `json:"language"`
	Arch     string `json:"arch"` // read back by the dentist: the arch, to catch a wrong one
}
