package runfile

import (
	"bytes"
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"unicode"
)

// Append adds a note to the run file old as its last section and returns the file
// with it and the run that then stands in it. data begins with old, octet for octet;
// what is added has the line end of old's last line, LF without one. A note whose ID
// stands in old already is not added: data is old then, and no longer.
//
// At and What have to be given. A text is what a run file can hold: one line of 1 to
// 500 characters without blanks at its ends, What in lower case; it is written in
// quotes, At as it is. Load is 1 to 1000, 0 for none. name is what errors call the
// file.
//
// A note that would not read back as it is, a file that is no run file, more than
// 1000 notes and more than 1 MiB are an *Error. What is returned was decoded whole,
// and says what old says and the note, nothing else.
func Append(old []byte, name string, note Note) (data []byte, run Run, err error) {
	if err := unwritable(note, name); err != nil {
		return nil, Run{}, err
	}
	former, err := DecodeRun(bytes.NewReader(old), name)
	if err != nil {
		return nil, Run{}, err
	}
	if note.ID != "" && slices.ContainsFunc(former.Notes, func(n Note) bool { return n.ID == note.ID }) {
		return old, former, nil
	}
	data = slices.Concat(old, []byte(gap(string(old))+block(note, lineEnd(string(old)))))
	full := &Error{File: name, Hint: "go on in another run file"}
	switch {
	case len(former.Notes) == maxCount:
		full.Reason = fmt.Sprintf("holds %d notes, the most it may", maxCount)
		return nil, Run{}, full
	case len(data) > MaxSize:
		full.Reason = "would be larger than 1 MiB with one more note"
		return nil, Run{}, full
	}
	if run, err = DecodeRun(bytes.NewReader(data), name); err != nil {
		return nil, Run{}, err
	}
	want, got := former, run
	want.Notes, want.Source, got.Source = append(slices.Clip(former.Notes), note), Source{}, Source{}
	if !reflect.DeepEqual(want, got) {
		return nil, Run{}, &Error{File: name, Hint: "add it by hand",
			Reason: "would say something else with a note at its end"}
	}
	return data, run, nil
}

// unwritable returns why a note cannot be read back as it is, whatever the file.
func unwritable(note Note, name string) error {
	run, err := DecodeRun(strings.NewReader(block(note, "\n")), name)
	if wrong, ok := err.(*Error); ok {
		wrong.Line = 0 // it stands in no file yet
		return wrong
	}
	if err != nil {
		return err
	}
	read := texts(run.Notes[0])
	for i, given := range texts(note) {
		if given != read[i] {
			return &Error{File: name, Key: "note." + given.key, Hint: "write it as it is read",
				Reason: fmt.Sprintf("%q would be read as %q", clip(given.text), clip(read[i].text))}
		}
	}
	return nil
}

// noteText is a key of a note whose value is text.
type noteText struct{ key, text string }

// texts are those of a note, in the order in which they are written.
func texts(note Note) [5]noteText {
	return [...]noteText{{"id", note.ID}, {"at", note.At}, {"what", note.What}, {"value", note.Value}, {"step", note.Step}}
}

// block is the section of a note, without the keys that are not given.
func block(note Note, end string) string {
	written := "[[note]]" + end
	for _, given := range texts(note) {
		if given.text != "" {
			written += given.key + " = " + quoted(given.text) + end
		}
	}
	if note.Load != 0 {
		written += "load = " + strconv.Itoa(note.Load) + end
	}
	return written
}

// quoted is text as a TOML string on one line. What has no shape of its own, such as
// a mark that turns the direction of reading, is written by its number, so that the
// file shows what it says.
func quoted(text string) string {
	var written strings.Builder
	written.WriteByte('"')
	for _, r := range text {
		switch {
		case r == '"' || r == '\\':
			written.WriteByte('\\')
			written.WriteRune(r)
		case unicode.IsGraphic(r):
			written.WriteRune(r)
		default:
			fmt.Fprintf(&written, `\U%08X`, r)
		}
	}
	written.WriteByte('"')
	return written.String()
}

// lineEnd is the line end of the last line of file that has one.
func lineEnd(file string) string {
	if last := strings.LastIndexByte(file, '\n'); last > 0 && file[last-1] == '\r' {
		return "\r\n"
	}
	return "\n"
}

// gap is what stands between file and another section: a blank line, after the line
// end that the last line may lack.
func gap(file string) string {
	switch end := lineEnd(file); {
	case strings.TrimPrefix(file, "\ufeff") == "":
		return ""
	case strings.HasSuffix(file, "\n"):
		return end
	default:
		return end + end
	}
}
