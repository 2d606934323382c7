package document

import (
	"strings"
	"unicode/utf16"
	"unicode/utf8"
)

func (p *parser) members(n *node, depth int) error {
	var seen map[string]bool
	for first := true; ; first = false {
		done, err := p.between('}', first)
		if done || err != nil {
			return err
		}
		at := p.at
		name, err := p.name()
		if err != nil {
			return err
		}
		if n.has(name, &seen) {
			return p.fail(at, "keep one of them", "the name %q stands twice in one object", name)
		}
		item, err := p.value(n, depth)
		if err != nil {
			return err
		}
		item.key = name
		n.items = append(n.items, item)
	}
}

// few is up to how many members a name is looked up by walking them.
const few = 16

// has says whether the object holds the name already. Large objects keep a set.
func (n *node) has(name string, seen *map[string]bool) bool {
	if len(n.items) < few {
		return n.member(name) != nil
	}
	if *seen == nil {
		*seen = make(map[string]bool)
		for _, m := range n.items {
			(*seen)[m.key] = true
		}
	}
	was := (*seen)[name]
	(*seen)[name] = true
	return was
}

func (n *node) member(name string) *node {
	for _, m := range n.items {
		if m.key == name {
			return m
		}
	}
	return nil
}

// name reads a member's name and the colon.
func (p *parser) name() (string, error) {
	if p.next() != '"' {
		return "", p.unexpected(`a name in double quotes`)
	}
	name, err := p.quoted()
	if err != nil {
		return "", err
	}
	if p.next() != ':' {
		return "", p.unexpected("a colon")
	}
	p.at++
	return name, nil
}

// quoted reads a string; a plain one shares the file's own text.
func (p *parser) quoted() (string, error) {
	begin := p.at
	p.at++
	var b strings.Builder
	from := p.at
	for p.at < len(p.src) {
		switch c := p.src[p.at]; {
		case c == '"':
			s := p.src[from:p.at]
			p.at++
			if b.Len() == 0 {
				return s, nil
			}
			b.WriteString(s)
			return b.String(), nil
		case c == '\\':
			b.WriteString(p.src[from:p.at])
			if err := p.escape(&b); err != nil {
				return "", err
			}
			from = p.at
		case c < ' ':
			return "", p.fail(p.at, `close the text with a double quote, or write the break as \n`, "a line break or control character stands inside a text")
		default:
			if err := p.character(); err != nil {
				return "", err
			}
		}
	}
	return "", p.fail(begin, "close it with a double quote; check that the whole file was saved or copied", "the file ends inside the text that begins here")
}

// character steps over one character of a text.
func (p *parser) character() error {
	if p.src[p.at] < utf8.RuneSelf {
		p.at++
		return nil
	}
	r, size := utf8.DecodeRuneInString(p.src[p.at:])
	if r == utf8.RuneError && size == 1 {
		return p.fail(p.at, "save the file as UTF-8", "the file is not UTF-8 text")
	}
	p.at += size
	return nil
}

const plainEscapes = "\"\\/bfnrt"

func (p *parser) escape(b *strings.Builder) error {
	at := p.at
	if p.at += 2; p.at > len(p.src) {
		return p.fail(at, "check that the whole file was saved or copied", "the file ends inside a text")
	}
	c := p.src[at+1]
	if i := strings.IndexByte(plainEscapes, c); i >= 0 {
		b.WriteByte("\"\\/\b\f\n\r\t"[i])
		return nil
	}
	if c != 'u' {
		return p.fail(at, `write \\ for a backslash`, `a backslash stands before %q`, c)
	}
	r, ok := p.hex()
	if ok && utf16.IsSurrogate(r) {
		low := rune(0)
		if ok = strings.HasPrefix(p.src[p.at:], `\u`); ok {
			p.at += 2
			low, ok = p.hex()
		}
		r = utf16.DecodeRune(r, low)
		ok = ok && r != utf8.RuneError
	}
	if !ok {
		return p.fail(at, `write \u and four hex digits, or the character itself`, `a \u escape is not a character`)
	}
	b.WriteRune(r)
	return nil
}

func (p *parser) hex() (rune, bool) {
	if len(p.src)-p.at < 4 {
		return 0, false
	}
	var r rune
	for _, c := range []byte(p.src[p.at : p.at+4]) {
		i := strings.IndexByte("0123456789abcdef", c|0x20)
		if i < 0 || c < '0' {
			return 0, false
		}
		r = r<<4 | rune(i)
	}
	p.at += 4
	return r, true
}

// digits reads a number and keeps its text.
func (p *parser) digits() (string, error) {
	begin := p.at
	for p.at < len(p.src) && strings.IndexByte("+-.0123456789eE", p.src[p.at]) >= 0 {
		p.at++
	}
	t := p.src[begin:p.at]
	if !isNumber(t) {
		return "", p.fail(begin, "write it like 89.375, with a digit on both sides of the point and no leading zeros or plus sign", "%q is not a JSON number", clip(t))
	}
	return t, nil
}

// isNumber checks the grammar of RFC 8259, section 6.
func isNumber(t string) bool {
	t = strings.TrimPrefix(t, "-")
	mantissa, exponent, has := t, "", false
	if i := strings.IndexAny(t, "eE"); i >= 0 {
		mantissa, exponent, has = t[:i], t[i+1:], true
	}
	whole, part, dotted := strings.Cut(mantissa, ".")
	switch {
	case !allDigits(whole) || len(whole) > 1 && whole[0] == '0':
		return false
	case dotted && !allDigits(part):
		return false
	case has:
		return allDigits(strings.TrimPrefix(strings.TrimPrefix(exponent, "+"), "-")) && !strings.HasPrefix(exponent, "+-")
	}
	return true
}

func allDigits(t string) bool {
	return t != "" && strings.Trim(t, "0123456789") == ""
}

// clip shortens a text for a message.
func clip(s string) string {
	if len(s) > 60 {
		return strings.ToValidUTF8(s[:57], "") + "..."
	}
	return s
}
