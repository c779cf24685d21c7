//! What a person reads in a file of the page: strings of its scripts, and in its markup
//! texts, attributes and the strings within braces.

/// Attributes that nobody reads.
const UNREAD: [&str; 7] = ["class", "id", "style", "for", "type", "role", "href"];

/// The texts of a script with their lines: what stands in quotes or backticks.
pub fn of_script(script: &str) -> Vec<(usize, String)> {
    let mut found = Vec::new();
    let characters: Vec<char> = script.chars().collect();
    let (mut at, mut line) = (0, 1);
    while let Some(&character) = characters.get(at) {
        let next = characters.get(at + 1);
        if character == '/' && next == Some(&'/') {
            at += characters[at..]
                .iter()
                .take_while(|one| **one != '\n')
                .count();
        } else if character == '/' && next == Some(&'*') {
            at += 2;
            while at < characters.len() && !characters[at..].starts_with(&['*', '/']) {
                line += usize::from(characters[at] == '\n');
                at += 1;
            }
            at += 2;
        } else if matches!(character, '"' | '\'' | '`') {
            let begun = line;
            let mut text = String::new();
            at += 1;
            while at < characters.len() && characters[at] != character {
                // An apostrophe in words of a regular expression opens nothing.
                if characters[at] == '\n' && character != '`' {
                    break;
                }
                at += usize::from(characters[at] == '\\');
                if let Some(one) = characters.get(at) {
                    line += usize::from(*one == '\n');
                    text.push(*one);
                }
                at += 1;
            }
            at += 1;
            found.push((begun, text.replace("${", "{")));
        } else {
            line += usize::from(character == '\n');
            at += 1;
        }
    }
    found
}

/// The texts of a component: its scripts' strings, its markup's texts and attributes.
pub fn of_component(component: &str) -> Vec<(usize, String)> {
    let mut markup = component.to_owned();
    let mut found = Vec::new();
    for (open, close) in [
        ("<script", "</script>"),
        ("<style", "</style>"),
        ("<!--", "-->"),
    ] {
        while let Some(from) = markup.find(open) {
            let to = markup[from..]
                .find(close)
                .map_or(markup.len(), |end| from + end + close.len());
            let inside = markup[from..to].to_owned();
            if open == "<script" {
                let body = inside.find('>').map_or(0, |end| end + 1);
                let before = line_of(&markup, from) - 1 + inside[..body].matches('\n').count();
                let of_body = of_script(&inside[body..inside.len() - close.len()]);
                found.extend(
                    of_body
                        .into_iter()
                        .map(|(line, text)| (before + line, text)),
                );
            }
            let blank: String = inside.chars().filter(|one| *one == '\n').collect();
            markup.replace_range(from..to, &blank);
        }
    }
    found.extend(of_markup(&markup));
    found.sort();
    found
}

/// The line of a place in a text, from 1.
fn line_of(text: &str, at: usize) -> usize {
    text[..at].matches('\n').count() + 1
}

/// The texts of markup without scripts, styles and remarks.
fn of_markup(markup: &str) -> Vec<(usize, String)> {
    let mut found = Vec::new();
    let mut text = String::new();
    let (mut begun, mut at, mut in_tag) = (0, 0, false);
    while at < markup.len() {
        let rest = &markup[at..];
        let one = rest.chars().next().expect("a place within the markup");
        if one == '{' {
            let end = at + braces(rest);
            let before = line_of(markup, at) - 1;
            let strings = of_script(&markup[at..end]);
            found.extend(
                strings
                    .into_iter()
                    .map(|(line, text)| (before + line, text)),
            );
            text.push_str("{}");
            at = end;
        } else if in_tag && one == '"' {
            let length = quoted(&rest[1..]);
            let name = markup[..at]
                .trim_end_matches('=')
                .rsplit([' ', '\n', '<'])
                .next();
            if !name.is_some_and(|name| UNREAD.contains(&name)) {
                found.push((line_of(markup, at), rest[1..=length].to_owned()));
                let inner = of_markup_braces(&rest[1..=length]);
                let line = line_of(markup, at) - 1;
                found.extend(inner.into_iter().map(|(below, text)| (line + below, text)));
            }
            at += length + 2;
        } else {
            let next = rest.chars().nth(1);
            let tag = next.is_some_and(|next| next.is_ascii_alphabetic() || next == '/');
            if one == '<' && tag {
                found.push((line_of(markup, begun), std::mem::take(&mut text)));
                in_tag = true;
            } else if one == '>' && in_tag {
                in_tag = false;
                begun = at;
            } else if !in_tag {
                if text.trim().is_empty() {
                    begun = at;
                }
                text.push(one);
            }
            at += one.len_utf8();
        }
    }
    found.push((line_of(markup, begun), text));
    found.retain(|(_, text)| !text.trim().is_empty());
    found
}

/// The strings within the braces of an attribute.
fn of_markup_braces(attribute: &str) -> Vec<(usize, String)> {
    let mut found = Vec::new();
    let mut at = 0;
    while let Some(from) = attribute[at..].find('{') {
        let end = at + from + braces(&attribute[at + from..]);
        found.extend(of_script(&attribute[at + from..end]));
        at = end;
    }
    found
}

/// The bytes from an opening brace to its closing one.
fn braces(text: &str) -> usize {
    let mut depth = 0_usize;
    for (at, one) in text.char_indices() {
        match one {
            '{' => depth += 1,
            '}' => depth -= 1,
            _ => {}
        }
        if depth == 0 {
            return at + 1;
        }
    }
    text.len()
}

/// The bytes up to the closing quote of an attribute, those within braces passed over.
fn quoted(text: &str) -> usize {
    let mut at = 0;
    while at < text.len() {
        let rest = &text[at..];
        let one = rest.chars().next().expect("a place within the text");
        match one {
            '"' => return at,
            '{' => at += braces(rest),
            _ => at += one.len_utf8(),
        }
    }
    text.len() - 1
}
