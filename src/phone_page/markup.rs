//! Turns elements, attributes and text into HTML that is well formed by construction.
//! Invariant: every text and every value of an attribute is escaped here; names of elements and attributes come from the program alone.
//! Must not: offer a way to put a text in as it stands.

/// HTML under construction.
#[derive(Default)]
pub(super) struct Markup(String);

/// Elements of HTML without content and without an end.
pub(super) const VOID: [&str; 2] = ["meta", "img"];

impl Markup {
    /// A whole page may begin with this and nothing else.
    pub fn page() -> Markup {
        Markup("<!doctype html>\n".to_owned())
    }

    pub fn finish(mut self) -> String {
        self.0.push('\n');
        self.0
    }

    /// An element with what is inside it.
    pub fn element(
        &mut self,
        name: &'static str,
        attributes: &[(&'static str, &str)],
        inside: impl FnOnce(&mut Markup),
    ) {
        self.start(name, attributes);
        inside(self);
        self.0.push_str("</");
        self.0.push_str(name);
        self.0.push('>');
    }

    /// An element of [`VOID`], or one of a drawing with nothing in it.
    pub fn empty(&mut self, name: &'static str, attributes: &[(&'static str, &str)]) {
        self.start(name, attributes);
        if !VOID.contains(&name) {
            // inside a drawing an element has an end unless it says so; in HTML the sign means nothing
            self.0.pop();
            self.0.push_str("/>");
        }
    }

    /// An element with one text in it.
    pub fn said(&mut self, name: &'static str, class: &'static str, text: &str) {
        let class = [("class", class)];
        let class: &[_] = if class[0].1.is_empty() { &[] } else { &class };
        self.element(name, class, |m| m.text(text));
    }

    /// The program's own style sheet: the only content that is no text.
    pub fn style(&mut self, sheet: &'static str, accent: Option<[u8; 3]>) {
        self.start("style", &[]);
        self.0.push_str(sheet);
        if let Some([red, green, blue]) = accent {
            let colour = format!(":root{{--accent-light:#{red:02x}{green:02x}{blue:02x}}}");
            self.0.push_str(&colour);
        }
        self.0.push_str("</style>");
    }

    /// Text between elements. Words of a script written from right to left are set apart, so that they never turn a date or
    /// a number after them around.
    pub fn text(&mut self, text: &str) {
        let mut rest = text;
        while let Some(start) = rest.find(is_turned) {
            escape(&mut self.0, &rest[..start]);
            let turned = &rest[start..];
            let end = turned
                .char_indices()
                .take_while(|(_, c)| is_turned(*c) || !c.is_alphabetic())
                .filter(|(_, c)| is_turned(*c))
                .last()
                .map_or(turned.len(), |(at, c)| at + c.len_utf8());
            self.0.push_str("<bdi>");
            escape(&mut self.0, &turned[..end]);
            self.0.push_str("</bdi>");
            rest = &turned[end..];
        }
        escape(&mut self.0, rest);
    }

    fn start(&mut self, name: &'static str, attributes: &[(&'static str, &str)]) {
        self.0.push('<');
        self.0.push_str(name);
        for (attribute, value) in attributes {
            self.0.push(' ');
            self.0.push_str(attribute);
            self.0.push_str("=\"");
            escape(&mut self.0, value);
            self.0.push('"');
        }
        self.0.push('>');
    }
}

/// Letters of scripts that are written from right to left; the same ranges as in `theme.typ`.
fn is_turned(c: char) -> bool {
    matches!(u32::from(c),
        0x590..=0x8ff | 0xfb1d..=0xfdff | 0xfe70..=0xfefe | 0x10800..=0x10fff | 0x1e800..=0x1efff)
}

/// HTML, "Named character references": the five that can end a text or an attribute.
fn escape(into: &mut String, text: &str) {
    for c in text.chars() {
        match c {
            '&' => into.push_str("&amp;"),
            '<' => into.push_str("&lt;"),
            '>' => into.push_str("&gt;"),
            '"' => into.push_str("&quot;"),
            '\'' => into.push_str("&#39;"),
            other => into.push(other),
        }
    }
}

/// Bytes as RFC 4648 base64.
pub(super) fn base64(bytes: &[u8]) -> String {
    const DIGITS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let mut text = String::with_capacity(bytes.len().div_ceil(3) * 4);
    for three in bytes.chunks(3) {
        let byte = |at: usize| u32::from(three.get(at).copied().unwrap_or(0));
        let all = byte(0) << 16 | byte(1) << 8 | byte(2);
        for at in 0..4 {
            let digit = DIGITS[(all >> (18 - 6 * at) & 63) as usize];
            text.push(if at > three.len() {
                '='
            } else {
                char::from(digit)
            });
        }
    }
    text
}

/// Telephone numbers in a text: each stretch of it, with the address to call where it is one (RFC 3966 in the form that
/// telephones take: digits, and a plus at the beginning).
pub(super) fn numbers(text: &str) -> Vec<(&str, Option<String>)> {
    let mut parts = Vec::new();
    let mut rest = text;
    let begins = |c: char| c.is_ascii_digit() || c == '+' || c == '(';
    let belongs = |c: char| {
        c.is_ascii_digit()
            || matches!(
                c,
                '+' | '(' | ')' | '-' | '.' | '/' | ' ' | '\u{a0}' | '\u{202f}' | '\u{2011}'
            )
    };
    while let Some(start) = rest.find(begins) {
        let end = rest[start..]
            .find(|c| !belongs(c))
            .map_or(rest.len(), |length| start + length);
        let run = rest[start..end].trim_end_matches(|c: char| !c.is_ascii_digit() && c != ')');
        let end = start + run.len().max(1);
        let digits = run.chars().filter(char::is_ascii_digit).count();
        if digits < 2 {
            parts.push((&rest[..end], None));
        } else {
            if start > 0 {
                parts.push((&rest[..start], None));
            }
            // "+44 (0)20": the nought is for calls from inside the country
            let dialled = if run.starts_with('+') {
                run.replace("(0)", "")
            } else {
                run.to_owned()
            };
            let plus = if run.starts_with('+') { "+" } else { "" };
            let digits: String = dialled.chars().filter(char::is_ascii_digit).collect();
            parts.push((run, Some(format!("tel:{plus}{digits}"))));
        }
        rest = &rest[end..];
    }
    if !rest.is_empty() {
        parts.push((rest, None));
    }
    parts
}

#[cfg(test)]
mod tests {
    use super::*;

    /// RFC 4648, section 10.
    #[test]
    fn published_base64() {
        for (plain, coded) in [
            ("", ""),
            ("f", "Zg=="),
            ("fo", "Zm8="),
            ("foo", "Zm9v"),
            ("foob", "Zm9vYg=="),
            ("foobar", "Zm9vYmFy"),
        ] {
            assert_eq!(base64(plain.as_bytes()), coded);
        }
    }

    #[test]
    fn numbers_are_called_as_they_are_dialled() {
        let called =
            |text| -> Vec<String> { numbers(text).into_iter().filter_map(|(_, to)| to).collect() };
        assert_eq!(called("01632 960 101"), ["tel:01632960101"]);
        assert_eq!(called("+44 (0)1632 960101"), ["tel:+441632960101"]);
        assert_eq!(called("112 or 061"), ["tel:112", "tel:061"]);
        assert_eq!(called("(none) 5"), Vec::<String>::new());
        for text in ["01632 960 101", "call 112 or 061 (free).", "+", "(", "é 4"] {
            let joined: String = numbers(text).into_iter().map(|(part, _)| part).collect();
            assert_eq!(joined, text);
        }
    }

    #[test]
    fn text_is_never_code() {
        let mut m = Markup::default();
        m.element("p", &[("title", "\"><script>")], |m| {
            m.text("<b>&amp;' שלום 3</b>")
        });
        assert_eq!(
            m.0,
            "<p title=\"&quot;&gt;&lt;script&gt;\">&lt;b&gt;&amp;amp;&#39; <bdi>שלום</bdi> 3&lt;/b&gt;</p>"
        );
    }
}
