package slackfake

import (
	"encoding/json"
	"io"
	"mime"
	"net/http"
	"path"
	"strconv"
	"strings"
	"time"
)

// File is a file someone uploaded.
type File struct {
	ID, Name, Mimetype string
	Title, AltText     string
	User               string
	Data               []byte
	Shared             bool // it is in a conversation, not only uploaded

	expect int // length that was announced
}

// File finds one file by id.
func (s *Server) File(id string) (File, bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	f := s.files[id]
	if f == nil {
		return File{}, false
	}
	return *f, true
}

func (s *Server) wireFiles(files []File) []map[string]any {
	out := make([]map[string]any, 0, len(files))
	for _, f := range files {
		address := s.http.URL + "/files/" + f.ID + "/" + f.Name
		out = append(out, map[string]any{
			"id": f.ID, "name": f.Name, "title": f.Title, "mimetype": f.Mimetype, "user": f.User, "size": len(f.Data),
			"filetype": strings.TrimPrefix(path.Ext(f.Name), "."), "alt_txt": f.AltText, "mode": "hosted",
			"url_private": address, "url_private_download": address, "file_access": "visible",
		})
	}
	return out
}

// newFile stores an empty file. The type is guessed from the name, as the
// service does: it is no proof of what is inside. The lock is held.
func (s *Server) newFile(name, user string) *File {
	kind := mime.TypeByExtension(path.Ext(name))
	if kind == "" {
		kind = "application/octet-stream"
	}
	f := &File{ID: s.id("F"), Name: path.Base(name), Mimetype: kind, User: user}
	s.files[f.ID] = f
	return f
}

func (s *Server) uploadURL(r *request) reply {
	length, err := strconv.Atoi(r.form.Get("length"))
	if r.form.Get("filename") == "" || err != nil || length <= 0 {
		return refuse("invalid_arguments")
	}
	f := s.newFile(r.form.Get("filename"), s.cfg.BotUserID)
	f.AltText, f.expect = r.form.Get("alt_txt"), length
	return accept(map[string]any{"upload_url": s.http.URL + "/upload/" + f.ID, "file_id": f.ID})
}

// upload takes the bytes, as a form with one part or as the bare body.
func (s *Server) upload(w http.ResponseWriter, r *http.Request) {
	f := s.fault("upload")
	if !f.before(w, s.done) {
		return
	}
	data, err := uploaded(r)
	s.mu.Lock()
	file := s.files[r.PathValue("file")]
	good := err == nil && file != nil && file.Data == nil && file.expect == len(data)
	if good {
		file.Data = data
	}
	s.mu.Unlock()
	s.record(Call{Method: "upload", At: time.Now(), Done: good})
	if !f.after(w, s.done) {
		return
	}
	if !good {
		http.Error(w, "bad upload", http.StatusBadRequest)
		return
	}
	io.WriteString(w, "OK") //nolint:errcheck // the reader may be gone
}

func uploaded(r *http.Request) ([]byte, error) {
	body := http.MaxBytesReader(nil, r.Body, maxBody)
	if !strings.HasPrefix(r.Header.Get("Content-Type"), "multipart/") {
		return io.ReadAll(body)
	}
	r.Body = body
	parts, err := r.MultipartReader()
	if err != nil {
		return nil, err
	}
	for {
		part, err := parts.NextPart()
		if err != nil {
			return nil, err
		}
		if part.FileName() != "" {
			return io.ReadAll(part)
		}
	}
}

// completeUpload shares uploaded files: one message by the bot in each
// conversation named. Like the service it does not say under which timestamp.
func (s *Server) completeUpload(r *request) reply {
	var named []struct{ ID, Title string }
	if json.Unmarshal(r.raw("files"), &named) != nil || len(named) == 0 {
		return refuse("invalid_arguments")
	}
	s.emit("message", r.raw("blocks"))
	var rooms []string
	for _, room := range append([]string{r.form.Get("channel_id")}, strings.Split(r.form.Get("channels"), ",")...) {
		if room == "" {
			continue
		}
		c, code := s.writable(room)
		if code != "" {
			return refuse(code)
		}
		rooms = append(rooms, c.ID)
	}
	var files []File
	for _, n := range named {
		f := s.files[n.ID]
		if f == nil || f.Data == nil || f.Shared {
			return refuse("file_not_found")
		}
		f.Title, f.Shared = n.Title, len(rooms) > 0
		files = append(files, *f)
	}
	for _, room := range rooms {
		m := Message{
			Channel: room, User: s.cfg.BotUserID, Text: r.form.Get("initial_comment"), Blocks: r.raw("blocks"),
			Files: files, Via: "files.completeUploadExternal",
		}
		if parent := s.find(room, r.form.Get("thread_ts")); parent != nil {
			m.ThreadTS = parent.TS
		}
		shared := s.add(m)
		inner := s.wire(shared, false)
		inner["subtype"] = "file_share"
		s.echoes = append(s.echoes, s.heard(s.channels[room], shared, inner)...)
	}
	return accept(map[string]any{"files": s.wireFiles(files)})
}

// download gives the bytes to the bearer of the bot's token; anybody else is
// sent to a sign-in page, as the service does.
func (s *Server) download(w http.ResponseWriter, r *http.Request) {
	f := s.fault("download")
	if !f.before(w, s.done) {
		return
	}
	s.mu.Lock()
	var file File
	if stored := s.files[r.PathValue("file")]; stored != nil {
		file = *stored
	}
	may := bearer(r) == s.cfg.BotToken && s.has("files:read")
	s.mu.Unlock()
	s.record(Call{Method: "download", At: time.Now(), Done: may && file.Data != nil})
	switch {
	case !f.after(w, s.done):
	case !may:
		http.Redirect(w, r, "/signin?redir="+r.URL.Path, http.StatusFound)
	case file.Data == nil:
		http.NotFound(w, r)
	default:
		w.Header().Set("Content-Type", file.Mimetype)
		w.Write(file.Data) //nolint:errcheck // the reader may be gone
	}
}
