package proof

import (
	"archive/zip"
	"bytes"
	"context"
	"errors"
	"flag"
	"hash/crc32"
	"io"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"firstrod/engine/ledger"
)

var update = flag.Bool("update", false, "write the proof files in testdata again")

// unpacked is a file as its parts, to be changed and packed again, with checksums
// that fit: what somebody can do who knows the format.
type unpacked map[string][]byte

func unpack(t testing.TB, b []byte) unpacked {
	t.Helper()
	u := unpacked{}
	err := readZip(bytes.NewReader(b), int64(len(b)), func(name string, data []byte, _ bool) error {
		u[name] = bytes.Clone(data)
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return u
}

func (u unpacked) pack(t testing.TB) []byte {
	t.Helper()
	return packed(t, slices.Sorted(maps.Keys(u)), u)
}

// packed writes parts in any order, without looking at their names.
func packed(t testing.TB, names []string, u unpacked) []byte {
	t.Helper()
	var b bytes.Buffer
	var entries []entry
	for _, name := range names {
		e := entry{name, uint32(len(u[name])), crc32.ChecksumIEEE(u[name]), uint32(b.Len())}
		entries = append(entries, e)
		b.Write(e.local())
		b.Write(u[name])
	}
	b.Write(directory(entries, int64(b.Len())))
	return b.Bytes()
}

// damage is one thing that somebody can do to a file, and what it must be named as.
type damage struct {
	name string
	file func(t testing.TB, good []byte, u unpacked) []byte
	code string
	seq  int64 // -1: no record
	say  string
}

func parts(do func(u unpacked)) func(testing.TB, []byte, unpacked) []byte {
	return func(t testing.TB, _ []byte, u unpacked) []byte {
		do(u)
		return u.pack(t)
	}
}

func swap(u unpacked, a, b string) { u[a], u[b] = u[b], u[a] }

// damages are all of them. Those without a reason to be large are in testdata too.
func damages() []damage {
	const r7, r8, p7, p8 = "records/0000000007.json", "records/0000000008.json", "proofs/0000000007.tlog-proof", "proofs/0000000008.tlog-proof"
	flip := func(part string, at int) func(testing.TB, []byte, unpacked) []byte {
		return func(_ testing.TB, good []byte, u unpacked) []byte {
			b := bytes.Clone(good)
			b[bytes.Index(b, u[part])+at] ^= 1
			return b
		}
	}
	return []damage{
		{"record_one_bit", flip(r7, 30), FaultInclusion, 7, "it, or its proof, is not what it was"},
		{"record_changed", parts(func(u unpacked) { u[r7] = bytes.Replace(u[r7], []byte("4572000"), []byte("4572001"), 1) }), FaultInclusion, 7, "not in the tree"},
		{"proof_one_bit", flip(p7, 60), FaultInclusion, 7, "record 7"},
		{"checkpoint_one_bit", flip(partCheckpoint, 40), ledger.FaultCheckpoint, -1, "not one that the log of this key has signed"},
		{"blob_one_bit", flip("blobs/"+ledger.BlobSum([]byte("packs of revision one")), 3), ledger.FaultBlob, 5, "not those it names"},
		{"readme_changed", parts(func(u unpacked) { u[partReadme] = []byte("Call this number.\n") }), FaultPart, -1, "do not do what it says"},
		{"directory_one_bit", func(_ testing.TB, good []byte, _ unpacked) []byte {
			b := bytes.Clone(good)
			b[len(b)-60] ^= 1
			return b
		}, FaultFile, -1, "its directory"},
		{"truncated", func(_ testing.TB, good []byte, _ unpacked) []byte { return good[:len(good)*2/3] }, FaultFile, -1, "cut short"},
		{"truncated_at_a_part", func(_ testing.TB, good []byte, u unpacked) []byte {
			return good[:bytes.Index(good, u[r8])-localSize-len(r8)]
		}, FaultFile, -1, "cut short"},
		{"truncated_directory", func(_ testing.TB, good []byte, _ unpacked) []byte { return good[:len(good)-5] }, FaultFile, -1, "directory"},
		{"bytes_behind", func(_ testing.TB, good []byte, _ unpacked) []byte { return append(bytes.Clone(good), "more"...) }, FaultFile, -1, "directory"},
		{"bytes_in_front", func(_ testing.TB, good []byte, _ unpacked) []byte { return append([]byte("#!/bin/sh\n"), good...) }, FaultFile, -1, "does not begin like one"},
		{"reordered", func(t testing.TB, _ []byte, u unpacked) []byte {
			names := slices.Sorted(maps.Keys(u))
			names[3], names[5] = names[5], names[3]
			return packed(t, names, u)
		}, FaultFile, -1, "out of order"},
		{"part_twice", func(t testing.TB, _ []byte, u unpacked) []byte {
			names := slices.Sorted(maps.Keys(u))
			return packed(t, slices.Insert(names, 3, names[3]), u)
		}, FaultFile, -1, "twice"},
		{"records_swapped", parts(func(u unpacked) { swap(u, r7, r8) }), FaultInclusion, 7, "record 7"},
		{"records_and_proofs_swapped", parts(func(u unpacked) { swap(u, r7, r8); swap(u, p7, p8) }), FaultInclusion, 7, "is that of record 8"},
		{"record_left_out", parts(func(u unpacked) { delete(u, r8); delete(u, p8) }), ledger.FaultVer, 9, "version 4"},
		{"record_without_proof", parts(func(u unpacked) { delete(u, p8) }), FaultPart, 8, "has no proof"},
		{"proof_without_record", parts(func(u unpacked) { delete(u, r8) }), FaultPart, 8, "record 8 is missing"},
		{"start_left_out", parts(func(u unpacked) { delete(u, recordPart(0)); delete(u, proofPart(0)) }), FaultPart, -1, "starts the log is missing"},
		{"person_left_out", parts(func(u unpacked) { delete(u, recordPart(2)); delete(u, proofPart(2)) }), ledger.FaultUnknown, 5, "not introduced"},
		{"input_left_out", parts(func(u unpacked) { delete(u, "blobs/"+inputSum()) }), ledger.FaultBlob, 10, "is not in the file"},
		{"stray_blob", parts(func(u unpacked) { u["blobs/"+ledger.BlobSum(photo)] = photo }), FaultPart, -1, "nothing in the records names"},
		{"stray_evidence", parts(func(u unpacked) { u["evidence/"+ledger.BlobSum([]byte("x"))] = []byte("x") }), FaultEvidence, -1, "no record names"},
		{"evidence_changed", parts(func(u unpacked) { u["evidence/"+ledger.BlobSum(photo)] = []byte("another picture") }), FaultEvidence, -1, "not what its name says"},
		{"evidence_list_changed", parts(func(u unpacked) { u[partEvidence] = nil }), FaultEvidence, -1, "does not list"},
		{"other_bore", parts(func(u unpacked) { u[partAbout] = about{format, "b2"}.encode() }), FaultBore, 5, `is of bore "b1", the file is about "b2"`},
		{"mixed_bores", func(t testing.TB, _ []byte, u unpacked) []byte {
			m, _, _ := sealedJob(t)
			other := unpack(t, made(t, m, Request{Bore: "b2"}))
			u[recordPart(6)], u[proofPart(6)] = other[recordPart(6)], other[proofPart(6)]
			u[recordPart(3)], u[proofPart(3)] = other[recordPart(3)], other[proofPart(3)]
			return u.pack(t)
		}, FaultBore, 6, `is of bore "b2"`},
		{"swapped_key", func(t testing.TB, _ []byte, u unpacked) []byte {
			_, other := testKey(t, 2)
			u[partKey] = []byte(other + "\n")
			return u.pack(t)
		}, ledger.FaultCheckpoint, -1, "signed"},
		{"swapped_key_and_signature", func(t testing.TB, _ []byte, u unpacked) []byte {
			m, _, _ := sealedJob(t)
			other, public := testKey(t, 2)
			resign(u, signed(t, m, 13, other), public)
			return u.pack(t)
		}, ledger.FaultLogKey, 0, "names another key"},
		{"replayed_proof", func(t testing.TB, _ []byte, u unpacked) []byte {
			// The proof of a record under an older, true checkpoint of the same log.
			m, s, _ := sealedJob(t)
			m.note = signed(t, m, 12, s)
			u[proofPart(7)] = unpack(t, made(t, m, Request{Bore: "b1"}))[proofPart(7)]
			return u.pack(t)
		}, FaultInclusion, 7, "under another checkpoint"},
		{"replayed_checkpoint", func(t testing.TB, _ []byte, u unpacked) []byte {
			m, s, public := sealedJob(t)
			resign(u, signed(t, m, 9, s), public)
			return u.pack(t)
		}, FaultInclusion, 9, "an older checkpoint stands in its place"},
		{"fork_inside", func(t testing.TB, _ []byte, u unpacked) []byte {
			// Two checkpoints of the same size under one key, both truly signed.
			_, s, public := sealedJob(t)
			recs, blobs := job(public)
			recs[8].Why = "may not"
			u[sincePart(9)] = signed(t, seal(t, recs, s, blobs...), 9, s)
			return u.pack(t)
		}, FaultSince, -1, "does not continue that of 9 records"},
		{"signed_something_else", func(t testing.TB, _ []byte, _ unpacked) []byte {
			// Whoever holds the key changed what was read after it was signed, and
			// made the whole log anew.
			s, public := testKey(t, 1)
			recs, blobs := job(public)
			recs[7].Facts[0].Value, recs[7].Facts[0].Typed = "4267200", "14 ft"
			return made(t, seal(t, recs, s, blobs...), Request{Bore: "b1"})
		}, FaultInput, 10, "signs other values"},
		{"released_while_failing", func(t testing.TB, _ []byte, _ unpacked) []byte {
			s, public := testKey(t, 1)
			recs, blobs := job(public)
			recs[8].Findings = nil
			return made(t, seal(t, recs, s, blobs...), Request{Bore: "b1"})
		}, ledger.FaultRelease, 11, "although verify.far_mark is fail"},
		{"format_of_later", parts(func(u unpacked) { u[partAbout] = []byte(`{"format":"firstrod proof 2","bore":"b1"}` + "\n") }), FaultFile, -1, "firstrod proof 2"},
		{"climbing_name", named("../../etc/cron.d/x"), FaultFile, -1, "does not belong in one"},
		{"climbing_record", named("records/../../x.json"), FaultFile, -1, "does not belong in one"},
		{"absolute_name", named("/etc/passwd"), FaultFile, -1, "does not belong in one"},
		{"drive_name", named(`C:\x`), FaultFile, -1, "does not belong in one"},
		{"name_with_zero", named("key.txt\x00.exe"), FaultFile, -1, "does not belong in one"},
		{"name_in_capitals", named("KEY.TXT"), FaultFile, -1, "does not belong in one"},
		{"folder", named("records/"), FaultFile, -1, "does not belong in one"},
		{"empty_name", named(""), FaultFile, -1, "does not belong in one"},
		{"compressed", bomb(64 << 10), FaultFile, -1, "compressed"},
		{"no_parts", func(testing.TB, []byte, unpacked) []byte { return directory(nil, 0) }, FaultFile, -1, "no parts"},
		{"nothing", func(testing.TB, []byte, unpacked) []byte { return nil }, FaultFile, -1, "cut short"},
	}
}

// named adds a part with a name that does not belong.
func named(name string) func(testing.TB, []byte, unpacked) []byte {
	return parts(func(u unpacked) { u[name] = []byte("x") })
}

// bomb is an ordinary ZIP with one part that unpacks to n zeros.
func bomb(n int64) func(testing.TB, []byte, unpacked) []byte {
	return func(t testing.TB, _ []byte, _ unpacked) []byte {
		var b bytes.Buffer
		z := zip.NewWriter(&b)
		w, err := z.Create("README.txt")
		if err == nil {
			_, err = io.CopyN(w, zeros{}, n)
		}
		if err = errors.Join(err, z.Close()); err != nil {
			t.Fatal(err)
		}
		return b.Bytes()
	}
}

type zeros struct{}

func (zeros) Read(p []byte) (int, error) { clear(p); return len(p), nil }

func inputSum() string {
	_, blobs := job("")
	return ledger.BlobSum(blobs[1])
}

// resign puts a file under another checkpoint and key.
func resign(u unpacked, checkpoint []byte, key string) {
	for name, b := range u {
		if strings.HasPrefix(name, folderProofs) {
			u[name] = append(b[:len(b)-len(u[partCheckpoint])], checkpoint...)
		}
	}
	u[partCheckpoint], u[partKey] = checkpoint, []byte(key+"\n")
}

func goodFile(t testing.TB) []byte {
	m, s, _ := sealedJob(t)
	return made(t, m, Request{Bore: "b1", Since: [][]byte{signed(t, m, 9, s)}})
}

// TestDamaged: each is named for what it is, at the record it is about.
func TestDamaged(t *testing.T) {
	good := goodFile(t)
	for _, d := range damages() {
		t.Run(d.name, func(t *testing.T) {
			b := d.file(t, good, unpack(t, good))
			faults, v := check(t, b, Options{})
			found := slices.ContainsFunc(faults, func(f ledger.Fault) bool {
				return f.Code == d.code && f.Seq == d.seq && strings.Contains(f.Say, d.say)
			})
			if !found {
				t.Errorf("nothing of %q at record %d with %q in %+v", d.code, d.seq, d.say, faults)
			}
			if d.seq >= 0 && v.First != d.seq {
				t.Errorf("the first bad record is %d, want %d: %+v", v.First, d.seq, faults)
			}
			if len(v.Proved) > 0 {
				t.Errorf("says that something is proved: %q", v.Proved)
			}
			compareFile(t, d.name, b)
		})
	}
	t.Run("good", func(t *testing.T) {
		if faults, _ := check(t, good, Options{}); len(faults) > 0 {
			t.Errorf("%+v", faults)
		}
		compareFile(t, "good", good)
	})
}

// compareFile holds the files in testdata to the recipes: every later version must
// name them as this one does. Only a few are kept; the rest is made here.
func compareFile(t *testing.T, name string, b []byte) {
	t.Helper()
	kept := []string{"good", "record_one_bit", "truncated", "reordered", "records_swapped", "other_bore", "swapped_key_and_signature",
		"replayed_checkpoint", "fork_inside", "signed_something_else", "climbing_name"}
	if !slices.Contains(kept, name) {
		return
	}
	path := filepath.Join("..", "..", "testdata", "ledgers", name+".proof.zip")
	if *update {
		if err := os.WriteFile(path, b, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	have, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(have, b) {
		t.Errorf("%s is not what the recipe gives; formats are for ever", path)
	}
}

// TestRewritten: a log made anew under a new key is sound in itself. What tells it
// apart is what the auditor holds.
func TestRewritten(t *testing.T) {
	m, _, public := sealedJob(t)
	s, fresh := testKey(t, 3)
	recs, blobs := job(fresh)
	file := made(t, seal(t, recs, s, blobs...), Request{Bore: "b1"})
	if faults, v := check(t, file, Options{}); len(faults) > 0 || v.Anchored() {
		t.Errorf("%+v %+v", faults, v)
	}
	for name, c := range map[string]struct {
		o    Options
		code string
	}{
		"key held": {Options{Key: public}, ledger.FaultLogKey},
		"pin held": {Options{Pins: [][]byte{m.note}}, ledger.FaultPin},
	} {
		if faults, v := check(t, file, c.o); len(faults) == 0 || faults[0].Code != c.code || v.Anchored() {
			t.Errorf("%s: %+v", name, faults)
		}
	}
}

// TestOversize: a file of two gigabytes, nearly all of it hole, costs no time and no
// memory; nor does one that says it has a large part.
func TestOversize(t *testing.T) {
	path := filepath.Join(t.TempDir(), "large")
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	good := goodFile(t)
	if _, err := f.Write(good); err != nil {
		t.Fatal(err)
	}
	for _, size := range []int64{2 << 30, maxFile, int64(len(good)) + 1} {
		if err := f.Truncate(size); err != nil {
			t.Fatal(err)
		}
		count := &countedReader{r: f}
		var all []ledger.Fault
		Check(context.Background(), count, size, Options{}, func(f ledger.Fault) { all = append(all, f) })
		if len(all) == 0 || all[0].Code != FaultFile || count.n > 2*int64(len(good)) {
			t.Errorf("size %d: %d bytes read, %+v", size, count.n, all)
		}
	}
	e := entry{name: partReadme, size: maxPart + 1}
	head := e.local()
	count := &countedReader{r: bytes.NewReader(head)}
	var all []ledger.Fault
	Check(context.Background(), count, maxFile, Options{}, func(f ledger.Fault) { all = append(all, f) })
	if len(all) != 1 || !strings.Contains(all[0].Say, "at most") {
		t.Errorf("%+v", all)
	}
}

type countedReader struct {
	r io.ReaderAt
	n int64
}

func (c *countedReader) ReadAt(p []byte, off int64) (int, error) {
	c.n += int64(len(p))
	return c.r.ReadAt(p, off)
}

// TestBomb: what unpacks to far more than it is gets refused before.
func TestBomb(t *testing.T) {
	b := bomb(1<<25)(t, nil, nil)
	if faults, _ := check(t, b, Options{}); len(faults) != 1 || !strings.Contains(faults[0].Say, "compressed") {
		t.Errorf("%+v", faults)
	}
}

// TestAnyByte: one bit changed anywhere in a file is found; each fifth byte is tried.
func TestAnyByte(t *testing.T) {
	good := goodFile(t)
	for i := 0; i < len(good); i += 5 {
		good[i] ^= 1 << (i % 8)
		v := Check(context.Background(), bytes.NewReader(good), int64(len(good)), Options{}, func(ledger.Fault) {})
		if v.Faults == 0 {
			t.Errorf("byte %d changed, nothing found", i)
		}
		good[i] ^= 1 << (i % 8)
	}
}

// FuzzFile: no panic whatever the bytes, and only the one form is taken: what has no
// fault is written the same again.
func FuzzFile(f *testing.F) {
	good := goodFile(f)
	f.Add(good)
	for _, d := range damages() {
		f.Add(d.file(f, good, unpack(f, good)))
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		v := Check(context.Background(), bytes.NewReader(b), int64(len(b)), Options{}, func(ledger.Fault) {})
		if v.Faults == 0 && !bytes.Equal(unpack(t, b).pack(t), b) {
			t.Error("two spellings of one file")
		}
	})
}

// FuzzInclusion: one spelling of each proof.
func FuzzInclusion(f *testing.F) {
	for name, b := range unpack(f, goodFile(f)) {
		if strings.HasPrefix(name, folderProofs) {
			f.Add(b)
		}
	}
	f.Add([]byte(proofHeader + "index 0\n\nx\n"))
	f.Fuzz(func(t *testing.T, b []byte) {
		seq, hashes, checkpoint, err := readInclusion(b)
		if err == nil && !bytes.Equal(inclusion(seq, hashes, checkpoint), b) {
			t.Errorf("%q became %q", b, inclusion(seq, hashes, checkpoint))
		}
	})
}
