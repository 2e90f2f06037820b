package slackfake

import (
	"encoding/json"
	"io"
	"net/http"
	"net/url"
	"strings"
)

// maxBody is the largest request the fake reads, in bytes.
const maxBody = 64 << 20

// request is one call of a Web API method. JSON bodies are flattened: strings
// as they are, anything else as its JSON text.
type request struct {
	method, token string
	form          url.Values
}

func (r *request) raw(key string) json.RawMessage {
	if v := r.form.Get(key); v != "" {
		return json.RawMessage(v)
	}
	return nil
}

// read takes the arguments from a form or a JSON body, and the token from the
// form or else the Authorization header.
func read(name string, r *http.Request) (*request, error) {
	body, err := io.ReadAll(io.LimitReader(r.Body, maxBody))
	if err != nil {
		return nil, err
	}
	req := &request{method: name, form: url.Values{}}
	if strings.HasPrefix(r.Header.Get("Content-Type"), "application/json") && len(body) > 0 {
		var fields map[string]json.RawMessage
		if err := json.Unmarshal(body, &fields); err != nil {
			return nil, err
		}
		for key, raw := range fields {
			var text string
			if json.Unmarshal(raw, &text) != nil {
				text = string(raw)
			}
			req.form.Set(key, text)
		}
	} else if req.form, err = url.ParseQuery(string(body)); err != nil {
		return nil, err
	}
	for key, values := range r.URL.Query() {
		req.form[key] = append(req.form[key], values...)
	}
	if req.token = req.form.Get("token"); req.token == "" {
		req.token = bearer(r)
	}
	req.form.Del("token")
	return req, nil
}

func bearer(r *http.Request) string {
	return strings.TrimPrefix(r.Header.Get("Authorization"), "Bearer ")
}
