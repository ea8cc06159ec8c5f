//! Turns one of our own pages into what a reader without script has of it: its text, its links, and its forms with their fields.
//!
//! Invariant: fields count as a browser counts them: what is disabled, unticked or has no name is not sent; what is only hidden is.
//! Must not: be used for pages of others: it reads markup that is written as ours is.

/// One page.
#[derive(Debug, Clone)]
pub struct Page {
    pub status: u16,
    /// Where it is.
    pub path: String,
    pub html: String,
    tokens: Vec<Token>,
}

#[derive(Debug, Clone)]
enum Token {
    Start(Tag),
    End(String),
    Text(String),
}

#[derive(Debug, Clone)]
struct Tag {
    name: String,
    attributes: Vec<(String, String)>,
}

impl Tag {
    fn get(&self, name: &str) -> Option<&str> {
        let mut all = self.attributes.iter();
        all.find(|(own, _)| own == name)
            .map(|(_, value)| value.as_str())
    }

    fn has(&self, name: &str) -> bool {
        self.get(name).is_some()
    }
}

/// A link.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Link {
    pub text: String,
    pub href: String,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sends {
    Get,
    Post,
}

/// A form as somebody has it before them, and fills it in.
#[derive(Debug, Clone)]
pub struct Form {
    pub action: String,
    pub sends: Sends,
    fields: Vec<Field>,
    /// Name, value and words of each.
    pub buttons: Vec<(String, String, String)>,
}

#[derive(Debug, Clone)]
struct Field {
    name: String,
    kind: Kind,
}

#[derive(Debug, Clone)]
enum Kind {
    /// A line, an area of text, or something hidden.
    Text(String),
    /// A box or a round one: its value, and whether it is ticked.
    Box {
        value: String,
        ticked: bool,
        is_radio: bool,
    },
    /// Values that can be chosen, and which is.
    Select { values: Vec<String>, chosen: usize },
}

const EMPTY: &[&str] = &[
    "meta", "link", "input", "img", "br", "hr", "path", "circle", "rect", "line", "ellipse", "use",
];

impl Page {
    pub fn new(status: u16, path: &str, html: &str) -> Page {
        Page {
            status,
            path: path.to_owned(),
            html: html.to_owned(),
            tokens: tokens(html),
        }
    }

    fn tags(&self) -> impl Iterator<Item = &Tag> {
        self.tokens.iter().filter_map(|token| match token {
            Token::Start(tag) => Some(tag),
            _ => None,
        })
    }

    /// Everything that stands between the tags, with single spaces.
    pub fn text(&self) -> String {
        spaced(&self.texts().join(" "))
    }

    /// Each piece of text that is not blank.
    pub fn texts(&self) -> Vec<String> {
        let texts = self.tokens.iter().filter_map(|token| match token {
            Token::Text(text) => Some(spaced(text)),
            _ => None,
        });
        texts.filter(|text| !text.is_empty()).collect()
    }

    /// What is read out or shown beside the text: names, hints, what is in fields.
    pub fn spoken(&self) -> Vec<String> {
        let names = ["aria-label", "alt", "title", "placeholder"];
        let said = self
            .tags()
            .flat_map(|tag| names.iter().filter_map(|name| tag.get(name)));
        said.map(spaced).collect()
    }

    pub fn lang(&self) -> String {
        let html = self.tags().find(|tag| tag.name == "html");
        html.and_then(|tag| tag.get("lang"))
            .unwrap_or_default()
            .to_owned()
    }

    /// Where everything on the page leads, and what it loads.
    pub fn addresses(&self) -> Vec<String> {
        let names = ["href", "action", "src", "formaction", "content"];
        let all = self
            .tags()
            .flat_map(|tag| names.iter().filter_map(|name| tag.get(name)));
        all.map(str::to_owned).collect()
    }

    pub fn links(&self) -> Vec<Link> {
        let mut links = Vec::new();
        for (at, token) in self.tokens.iter().enumerate() {
            let Token::Start(tag) = token else { continue };
            if let Some(href) = tag.get("href").filter(|_| tag.name == "a") {
                links.push(Link {
                    text: self.text_in(at, "a"),
                    href: href.to_owned(),
                });
            }
        }
        links
    }

    /// The address of the link that says this.
    pub fn link(&self, text: &str) -> String {
        let links = self.links();
        let found = links.iter().find(|link| link.text.contains(text));
        found
            .unwrap_or_else(|| panic!("no link says {text}: {links:?}"))
            .href
            .clone()
    }

    /// The text of each element of this name, and of this class where one is named.
    pub fn texts_of(&self, name: &str, class: Option<&str>) -> Vec<String> {
        let mut texts = Vec::new();
        for (at, token) in self.tokens.iter().enumerate() {
            let Token::Start(tag) = token else { continue };
            let classes = tag.get("class").unwrap_or_default();
            let fits = class.is_none_or(|class| classes.split(' ').any(|own| own == class));
            if tag.name == name && fits && !tag.has("hidden") {
                texts.push(self.text_in(at, name));
            }
        }
        texts
    }

    /// The text of the element with this id.
    pub fn text_of(&self, id: &str) -> String {
        let found = self.tokens.iter().enumerate().find_map(|(at, token)| {
            let Token::Start(tag) = token else {
                return None;
            };
            (tag.get("id") == Some(id)).then(|| self.text_in(at, &tag.name))
        });
        found.unwrap_or_else(|| panic!("nothing is called {id} at {}", self.path))
    }

    /// From a start tag to its end.
    fn text_in(&self, start: usize, name: &str) -> String {
        let mut depth = 0;
        let mut text = String::new();
        for token in &self.tokens[start..] {
            match token {
                Token::Start(tag) if tag.name == name => depth += 1,
                Token::End(ended) if ended == name => depth -= 1,
                Token::Text(piece) => {
                    text.push_str(piece);
                    text.push(' ');
                }
                _ => {}
            }
            if depth == 0 {
                break;
            }
        }
        spaced(&text)
    }

    pub fn forms(&self) -> Vec<Form> {
        let mut forms = Vec::new();
        for (at, token) in self.tokens.iter().enumerate() {
            if let Token::Start(tag) = token
                && tag.name == "form"
            {
                forms.push(self.form_at(at, tag));
            }
        }
        forms
    }

    /// The form that is sent to a path that ends like this.
    pub fn form(&self, action: &str) -> Form {
        let found = self
            .forms()
            .into_iter()
            .find(|form| form.action.ends_with(action));
        found.unwrap_or_else(|| {
            panic!(
                "no form goes to {action} at {} ({}): {}",
                self.path,
                self.status,
                self.text()
            )
        })
    }

    fn form_at(&self, start: usize, tag: &Tag) -> Form {
        let mut form = Form {
            action: tag.get("action").unwrap_or(&self.path).to_owned(),
            sends: match tag.get("method") {
                Some("post") => Sends::Post,
                _ => Sends::Get,
            },
            fields: Vec::new(),
            buttons: Vec::new(),
        };
        // each fieldset that is open, and whether it is disabled
        let mut fieldsets: Vec<bool> = Vec::new();
        for (at, token) in self.tokens.iter().enumerate().skip(start + 1) {
            match token {
                Token::End(name) if name == "form" => break,
                Token::End(name) if name == "fieldset" => drop(fieldsets.pop()),
                Token::Start(tag) if tag.name == "fieldset" => fieldsets.push(tag.has("disabled")),
                Token::Start(tag) => {
                    let disabled = tag.has("disabled") || fieldsets.contains(&true);
                    if !disabled {
                        self.take(&mut form, at, tag);
                    }
                }
                _ => {}
            }
        }
        form
    }

    fn take(&self, form: &mut Form, at: usize, tag: &Tag) {
        let name = tag.get("name").unwrap_or_default().to_owned();
        if tag.name == "button" {
            let value = tag.get("value").unwrap_or_default().to_owned();
            form.buttons.push((name, value, self.text_in(at, "button")));
            return;
        }
        if name.is_empty() {
            return;
        }
        let kind = match (tag.name.as_str(), tag.get("type").unwrap_or("text")) {
            ("input", kind @ ("checkbox" | "radio")) => Kind::Box {
                value: tag.get("value").unwrap_or("on").to_owned(),
                ticked: tag.has("checked"),
                is_radio: kind == "radio",
            },
            ("input", "file") => return,
            ("input", _) => Kind::Text(tag.get("value").unwrap_or_default().to_owned()),
            ("textarea", _) => {
                let text = match &self.tokens.get(at + 1) {
                    Some(Token::Text(text)) => text.clone(),
                    _ => String::new(),
                };
                // the line end behind the tag is markup
                Kind::Text(text.strip_prefix('\n').unwrap_or(&text).to_owned())
            }
            ("select", _) => self.select(at),
            _ => return,
        };
        form.fields.push(Field { name, kind });
    }

    fn select(&self, at: usize) -> Kind {
        let mut values = Vec::new();
        let mut chosen = 0;
        for token in &self.tokens[at..] {
            match token {
                Token::End(name) if name == "select" => break,
                Token::Start(tag) if tag.name == "option" => {
                    if tag.has("selected") {
                        chosen = values.len();
                    }
                    values.push(tag.get("value").unwrap_or_default().to_owned());
                }
                _ => {}
            }
        }
        Kind::Select { values, chosen }
    }
}

impl Form {
    /// Whether there is a field of this name.
    pub fn has(&self, name: &str) -> bool {
        self.fields.iter().any(|field| field.name == name)
    }

    /// The names of the fields, each once, in order.
    pub fn names(&self) -> Vec<String> {
        let mut names: Vec<String> = Vec::new();
        for field in &self.fields {
            if !names.contains(&field.name) {
                names.push(field.name.clone());
            }
        }
        names
    }

    /// What a field would send; of several the first, none when it sends nothing.
    pub fn get(&self, name: &str) -> Option<String> {
        let sent = self.sent(None);
        sent.into_iter()
            .find(|(own, _)| own == name)
            .map(|(_, value)| value)
    }

    /// Types into a field, chooses from a list, or chooses the round box with this value.
    pub fn set(&mut self, name: &str, text: &str) -> &mut Form {
        let mut found = false;
        for field in self.fields.iter_mut().filter(|field| field.name == name) {
            match &mut field.kind {
                Kind::Text(own) => {
                    *own = text.to_owned();
                    found = true;
                }
                Kind::Box {
                    value,
                    ticked,
                    is_radio: true,
                } => {
                    *ticked = value == text;
                    found |= *ticked;
                }
                Kind::Box { .. } => panic!("{name} is ticked, not typed"),
                Kind::Select { values, chosen } => {
                    let at = values.iter().position(|value| value == text);
                    *chosen = at.unwrap_or_else(|| panic!("{name} does not offer {text}"));
                    found = true;
                }
            }
        }
        assert!(found, "there is no {name} that can be {text:?}");
        self
    }

    /// Ticks a box, or takes its tick away.
    pub fn tick(&mut self, name: &str, text: &str, on: bool) -> &mut Form {
        let found = self
            .fields
            .iter_mut()
            .find_map(|field| match &mut field.kind {
                Kind::Box {
                    value,
                    ticked,
                    is_radio: false,
                } if field.name == name && value == text => Some(ticked),
                _ => None,
            });
        *found.unwrap_or_else(|| panic!("there is no box {name} for {text}")) = on;
        self
    }

    /// Puts in a field that is not on the page, as no browser would.
    pub fn forge(&mut self, name: &str, text: &str) -> &mut Form {
        self.fields.push(Field {
            name: name.to_owned(),
            kind: Kind::Text(text.to_owned()),
        });
        self
    }

    /// What is sent by the button with this name, or by Enter, which presses the first one.
    pub fn sent(&self, button: Option<&str>) -> Vec<(String, String)> {
        let mut sent: Vec<(String, String)> = Vec::new();
        for field in &self.fields {
            let value = match &field.kind {
                Kind::Text(text) => Some(text.clone()),
                Kind::Box { value, ticked, .. } => ticked.then(|| value.clone()),
                Kind::Select { values, chosen } => values.get(*chosen).cloned(),
            };
            sent.extend(value.map(|value| (field.name.clone(), value)));
        }
        let pressed = match button {
            Some(text) => {
                let found = self.buttons.iter().find(|(name, value, words)| {
                    name == text || words == text || format!("{name}={value}") == text
                });
                Some(found.unwrap_or_else(|| panic!("no button {text}: {:?}", self.buttons)))
            }
            None => self.buttons.first(),
        };
        if let Some((name, value, _)) = pressed.filter(|(name, ..)| !name.is_empty()) {
            sent.push((name.clone(), value.clone()));
        }
        sent
    }
}

fn spaced(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn tokens(html: &str) -> Vec<Token> {
    let mut tokens = Vec::new();
    let mut rest = html;
    while !rest.is_empty() {
        let Some(inside) = rest.strip_prefix('<') else {
            let end = rest.find('<').unwrap_or(rest.len());
            tokens.push(Token::Text(unescaped(&rest[..end])));
            rest = &rest[end..];
            continue;
        };
        // in a value of ours `>` and `<` are escaped, so that a tag ends at the first
        let end = inside.find('>').expect("every tag is closed");
        rest = &inside[end + 1..];
        let inside = inside[..end].trim_end_matches('/');
        if inside.starts_with('!') {
            continue;
        }
        if let Some(name) = inside.strip_prefix('/') {
            tokens.push(Token::End(name.trim().to_owned()));
            continue;
        }
        let tag = tag(inside);
        let ends = EMPTY.contains(&tag.name.as_str()).then(|| tag.name.clone());
        tokens.push(Token::Start(tag));
        tokens.extend(ends.map(Token::End));
    }
    tokens
}

fn tag(inside: &str) -> Tag {
    let end = inside.find(char::is_whitespace).unwrap_or(inside.len());
    let (name, mut rest) = inside.split_at(end);
    let mut attributes = Vec::new();
    loop {
        rest = rest.trim_start();
        if rest.is_empty() {
            break;
        }
        let end = rest
            .find(|c: char| c == '=' || c.is_whitespace())
            .unwrap_or(rest.len());
        let (name, behind) = rest.split_at(end);
        match behind.strip_prefix("=\"") {
            Some(value) => {
                let end = value.find('"').expect("every value is closed");
                attributes.push((name.to_owned(), unescaped(&value[..end])));
                rest = &value[end + 1..];
            }
            None => {
                assert!(!behind.starts_with('='), "a value without quotation marks");
                attributes.push((name.to_owned(), String::new()));
                rest = behind;
            }
        }
    }
    Tag {
        name: name.to_owned(),
        attributes,
    }
}

/// The characters that stand for others in markup.
fn unescaped(text: &str) -> String {
    let mut out = String::new();
    let mut rest = text;
    while let Some(at) = rest.find('&') {
        out.push_str(&rest[..at]);
        rest = &rest[at..];
        let end = rest.find(';').expect("an ampersand of ours is escaped");
        let name = &rest[1..end];
        let number = name
            .strip_prefix('#')
            .map(|number| match number.strip_prefix('x') {
                Some(hex) => u32::from_str_radix(hex, 16),
                None => number.parse(),
            });
        out.push(match (name, number) {
            ("amp", _) => '&',
            ("lt", _) => '<',
            ("gt", _) => '>',
            ("quot", _) => '"',
            ("nbsp", _) => '\u{a0}',
            (_, Some(Ok(code))) => char::from_u32(code).expect("a character"),
            _ => panic!("an entity that no page of ours has: {name}"),
        });
        rest = &rest[end + 1..];
    }
    out + rest
}
