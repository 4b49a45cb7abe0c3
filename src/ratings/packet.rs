//! Finds the rating in a piece of XMP: as an attribute or as an element, under any prefix (ISO 16684-1, clause 7).

use std::ops::Range;

use roxmltree::{Document, Node, ParsingOptions};

use super::{RDF, Said, XMP, value};

// No camera and no program writes XMP beyond these. The XML reader calls itself once for every level, compares every
// attribute of an element with all others, and hands all namespaces down to every element that names one.
const DEEPEST: usize = 128;
const MOST_NODES: u32 = 500_000;
const MOST_ATTRIBUTES: usize = 1000;
const MOST_NAMESPACES: usize = 500;

/// A rating and where it stands in the text.
#[derive(Clone, Debug, PartialEq)]
pub struct Found {
    /// What it says.
    pub said: Said,
    /// The bytes of its value; None where the element has none, or holds more than a value.
    pub value: Option<Range<usize>>,
    /// Whether it is an element without anything inside.
    pub bare: bool,
    /// The bytes of the whole attribute or element.
    pub whole: Range<usize>,
}

/// What the XMP says of the rating.
#[must_use]
pub fn said(xmp: &str) -> Said {
    // Nearly all pictures of a shoot carry XMP and no rating: the name is looked for before anything is parsed.
    if !xmp.contains("Rating") {
        return Said::Nothing;
    }
    match read(xmp) {
        Ok(tree) => said_by(&tree),
        Err(why) => Said::Unreadable(why),
    }
}

/// What a parsed piece of XMP says of the rating.
#[must_use]
pub fn said_by(tree: &Document) -> Said {
    let mut found = ratings(tree).into_iter();
    match (found.next(), found.next()) {
        (None, _) => Said::Nothing,
        (Some(one), None) => one.said,
        (Some(one), Some(two)) if one.said == two.said && found.all(|more| more.said == one.said) => one.said,
        _ => Said::Unreadable("it holds several ratings that differ".to_owned()),
    }
}

/// Parses XMP. The error says in words why it is none.
pub fn read(xmp: &str) -> Result<Document<'_>, String> {
    if let Some(why) = beyond_any(xmp.as_bytes()) {
        return Err(format!("it has more {why} than any XMP"));
    }
    let options = ParsingOptions { allow_dtd: false, nodes_limit: MOST_NODES };
    let tree = Document::parse_with_options(xmp, options).map_err(|e| format!("it is no well-formed XML: {e}"))?;
    if root(&tree).is_none() { Err("it holds no rdf:RDF, so it is no XMP".to_owned()) } else { Ok(tree) }
}

/// `rdf:RDF`, by itself or inside `x:xmpmeta`.
fn root<'a>(tree: &'a Document<'a>) -> Option<Node<'a, 'a>> {
    let top = tree.root_element();
    let is_rdf = |node: &Node| node.has_tag_name((RDF, "RDF"));
    if is_rdf(&top) { Some(top) } else { top.children().find(is_rdf) }
}

/// The descriptions of the picture: properties inside structures, such as those of another picture, do not count.
#[must_use]
pub fn descriptions<'a>(tree: &'a Document<'a>) -> Vec<Node<'a, 'a>> {
    let all = root(tree).into_iter().flat_map(|rdf| rdf.children());
    all.filter(|node| node.has_tag_name((RDF, "Description"))).collect()
}

/// Every rating of the picture, in the order of the text.
#[must_use]
pub fn ratings<'a>(tree: &'a Document<'a>) -> Vec<Found> {
    let mut found = Vec::new();
    for description in descriptions(tree) {
        if let Some(attribute) = description.attribute_node((XMP, "Rating")) {
            found.push(Found {
                said: value(attribute.value()),
                value: Some(attribute.range_value()),
                bare: false,
                whole: attribute.range(),
            });
        }
        found.extend(description.children().filter(|n| n.has_tag_name((XMP, "Rating"))).map(element));
    }
    found
}

fn element(node: Node) -> Found {
    let text: String = node.children().filter(Node::is_text).filter_map(|n| n.text()).collect();
    // A comment or anything else inside stays: then there is no stretch that is the value and nothing else.
    let plain = node.children().all(|child| child.is_text());
    let ends = node.first_child().zip(node.last_child()).filter(|_| plain);
    let content = ends.map(|(first, last)| first.range().start..last.range().end);
    Found { said: value(&text), value: content, bare: !node.has_children(), whole: node.range() }
}

/// What the text has more of than any XMP. Comments, CDATA and quoted values are stepped over as the XML reader does;
/// where the text is not well-formed the reader stops, and so does this.
fn beyond_any(text: &[u8]) -> Option<&'static str> {
    if memchr::memmem::find_iter(text, b"xmlns").nth(MOST_NAMESPACES).is_some() {
        return Some("namespaces");
    }
    let mut depth = 0_usize;
    let mut at = 0;
    while let Some(start) = memchr::memchr(b'<', text.get(at..).unwrap_or_default()) {
        at += start;
        let rest = text.get(at..).unwrap_or_default();
        let skip = |end: &[u8]| memchr::memmem::find(rest, end).map(|found| found + end.len());
        at += match rest {
            [b'<', b'!', b'-', b'-', ..] => skip(b"-->")?,
            [b'<', b'!', b'[', ..] => skip(b"]]>")?,
            [b'<', b'?', ..] => skip(b"?>")?,
            [b'<', b'!', ..] => return None,
            [b'<', b'/', ..] => {
                depth = depth.saturating_sub(1);
                skip(b">")?
            }
            _ => {
                let tag = tag(rest)?;
                depth += usize::from(!tag.closed);
                if tag.attributes > MOST_ATTRIBUTES {
                    return Some("attributes");
                }
                tag.length
            }
        };
        if depth > DEEPEST {
            return Some("levels");
        }
    }
    None
}

/// A start tag: its length with its `>`, how many attributes it has, and whether it closes itself.
struct Tag {
    length: usize,
    attributes: usize,
    closed: bool,
}

/// The tag that begins here; a `>` or `=` inside quotation marks is part of a value.
fn tag(text: &[u8]) -> Option<Tag> {
    let mut quote = None;
    let mut attributes = 0;
    let mut before = b'<';
    for (index, byte) in text.iter().enumerate() {
        match (quote, byte) {
            (None, b'>') => return Some(Tag { length: index + 1, attributes, closed: before == b'/' }),
            (None, b'"' | b'\'') => quote = Some(*byte),
            (None, b'=') => attributes += 1,
            (Some(open), _) if open == *byte => quote = None,
            _ => {}
        }
        before = *byte;
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    fn xmp(description: &str) -> String {
        format!(
            "<?xpacket begin=\"\u{feff}\" id=\"W5M0MpCehiHzreSzNTczkc9d\"?>\n\
             <x:xmpmeta xmlns:x=\"adobe:ns:meta/\">\n <rdf:RDF xmlns:rdf=\"{RDF}\">\n  {description}\n \
             </rdf:RDF>\n</x:xmpmeta>\n<?xpacket end=\"w\"?>"
        )
    }

    /// The forms of a simple property: ISO 16684-1, examples of 7.4 (element) and of the attribute form.
    #[test]
    fn attribute_and_element_under_any_prefix() {
        for description in [
            "<rdf:Description rdf:about=\"\" xmlns:xmp=\"http://ns.adobe.com/xap/1.0/\" xmp:Rating=\"3\"/>",
            "<rdf:Description xmlns:xap='http://ns.adobe.com/xap/1.0/' xap:Rating = '3.0'></rdf:Description>",
            "<rdf:Description xmlns:xmp=\"http://ns.adobe.com/xap/1.0/\"><xmp:Rating>3</xmp:Rating></rdf:Description>",
            "<rdf:Description><q:Rating xmlns:q=\"http://ns.adobe.com/xap/1.0/\"> +3\n</q:Rating></rdf:Description>",
            "<rdf:Description><Rating xmlns=\"http://ns.adobe.com/xap/1.0/\"><![CDATA[3]]></Rating></rdf:Description>",
            "<rdf:Description rdf:about=\"\"/><rdf:Description xmlns:xmp=\"http://ns.adobe.com/xap/1.0/\" xmp:Rating=\"&#51;\"/>",
        ] {
            assert_eq!(said(&xmp(description)), Said::Rating(3.0), "{description}");
        }
        let bare =
            format!("<rdf:RDF xmlns:rdf=\"{RDF}\"><rdf:Description xmlns:x=\"{XMP}\" x:Rating=\"-1\"/></rdf:RDF>");
        assert_eq!(said(&bare), Said::Rating(-1.0));
    }

    #[test]
    fn what_is_no_rating_of_this_picture() {
        for description in [
            "<rdf:Description xmlns:xmp=\"http://example.org/other/\" xmp:Rating=\"3\"/>",
            "<rdf:Description Rating=\"3\"/>",
            "<rdf:Description xmlns:m=\"urn:m\"><m:From rdf:parseType=\"Resource\"><x:Rating xmlns:x=\"http://ns.adobe.com/xap/1.0/\">5</x:Rating></m:From></rdf:Description>",
            "<rdf:Description/>",
        ] {
            assert_eq!(said(&xmp(description)), Said::Nothing, "{description}");
        }
        let two = "<rdf:Description xmlns:xmp=\"http://ns.adobe.com/xap/1.0/\" xmp:Rating=\"3\"><xmp:Rating>4</xmp:Rating></rdf:Description>";
        assert!(matches!(said(&xmp(two)), Said::Unreadable(why) if why.contains("several")));
        assert_eq!(said(&xmp(&two.replace('4', "3"))), Said::Rating(3.0), "twice the same is no contradiction");
    }

    #[test]
    fn hostile_xmp_is_refused_in_words() {
        let deep = format!("{}Rating{}", "<a>".repeat(200_000), "</a>".repeat(200_000));
        let hidden = format!("{}Rating", "<a b=\"</a>\"><!-- </a></a> -->".repeat(100_000));
        let entities = "<!DOCTYPE x [<!ENTITY a \"aaaa\">]><x>Rating&a;</x>";
        let many = |what: &dyn Fn(usize) -> String| (0..200_000).map(what).collect::<String>();
        let attributes = xmp(&format!("<rdf:Description {}/>", many(&|n| format!("a{n}='Rating' "))));
        let spaces = xmp(&many(&|n| format!("<a{n} xmlns:n{n}='Rating'/>")));
        for text in [
            deep.as_str(),
            &hidden,
            &attributes,
            &spaces,
            entities,
            "Rating",
            "<Rating",
            "<Rating/>",
            "<x:Rating/>",
            "<a>Rating</b>",
        ] {
            assert!(matches!(said(text), Said::Unreadable(_)), "{}", &text[..text.len().min(60)]);
        }
        let wide = xmp(&format!("<rdf:Description>{}</rdf:Description>", "<b>Rating</b>".repeat(10_000)));
        assert_eq!(said(&wide), Said::Nothing, "many elements side by side are no depth");
    }
}
