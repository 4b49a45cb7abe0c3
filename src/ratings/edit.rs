//! Writes a rating into a sidecar's bytes: the value's own bytes change or one attribute is put in; every other byte stays

use roxmltree::{Document, Node};

use super::{RDF, Said, XMP, packet};

/// The mark some programs put before UTF-8.
const MARK: &[u8] = b"\xef\xbb\xbf";

/// The sidecar's bytes with this rating, 1 to 5. The error says in words why nothing may be changed.
pub fn with_rating(bytes: &[u8], rating: u8) -> Result<Vec<u8>, String> {
    let (mark, body) = match bytes.strip_prefix(MARK) {
        Some(body) => (MARK, body),
        None => (&b""[..], bytes),
    };
    let text = std::str::from_utf8(body).map_err(|_| "it is not UTF-8 text".to_owned())?;
    let edited = edit(text, rating)?;
    // What was written must read as meant, or the text held something this file does not know.
    match packet::said(&edited) {
        Said::Rating(found) if found == f64::from(rating) => Ok([mark, edited.as_bytes()].concat()),
        _ => Err("its rating is written in a way that cannot be changed safely".to_owned()),
    }
}

fn edit(text: &str, rating: u8) -> Result<String, String> {
    let tree = packet::read(text)?;
    let found = packet::ratings(&tree);
    let splice = |range: std::ops::Range<usize>, new: &str| -> Option<String> {
        Some(format!("{}{new}{}", text.get(..range.start)?, text.get(range.end..)?))
    };
    let edited = match found.as_slice() {
        [] => {
            let all = packet::descriptions(&tree);
            let first = all.first().ok_or("it holds no rdf:Description to put a rating into")?;
            let (at, attribute) = insertion(&tree, *first, rating).ok_or("its first rdf:Description is odd")?;
            splice(at..at, &attribute)
        }
        [one] => match &one.value {
            Some(value) => splice(value.clone(), &rating.to_string()),
            None if one.bare => {
                let whole = text.get(one.whole.clone()).unwrap_or_default();
                splice(one.whole.clone(), &filled(whole, rating).ok_or("its rating is odd")?)
            }
            None => return Err("its rating holds more than a value".to_owned()),
        },
        _ => return Err("it holds several ratings".to_owned()),
    };
    edited.ok_or_else(|| "its places cannot be told".to_owned())
}

/// Where an attribute goes, right behind the name of the element, and the attribute with its namespace where needed.
fn insertion(tree: &Document, node: Node, rating: u8) -> Option<(usize, String)> {
    let start = node.range().start + 1;
    let tag = tree.input_text().get(start..)?;
    let at = start + tag.find(|c: char| c.is_ascii_whitespace() || matches!(c, '/' | '>'))?;
    // An attribute without a prefix is in no namespace, so the default one does not serve.
    let known = node.namespaces().filter(|space| space.uri() == XMP).filter_map(|space| space.name());
    let in_force = known.filter(|prefix| node.lookup_namespace_uri(Some(prefix)) == Some(XMP)).min();
    if let Some(prefix) = in_force {
        return Some((at, format!(" {prefix}:Rating=\"{rating}\"")));
    }
    let free = ["xmp", "xap", "xmp1"].into_iter().find(|prefix| node.lookup_namespace_uri(Some(prefix)).is_none())?;
    Some((at, format!(" xmlns:{free}=\"{XMP}\" {free}:Rating=\"{rating}\"")))
}

/// `<p:Rating/>` or `<p:Rating></p:Rating>` with a value inside.
fn filled(element: &str, rating: u8) -> Option<String> {
    let name = element.get(1..)?.split(|c: char| c.is_ascii_whitespace() || matches!(c, '/' | '>')).next()?;
    match element.strip_suffix("/>") {
        Some(open) => Some(format!("{open}>{rating}</{name}>")),
        None => {
            let close = element.rfind("</")?;
            Some(format!("{}{rating}{}", element.get(..close)?, element.get(close..)?))
        }
    }
}

/// A new sidecar that holds a rating and nothing else (XMP part 3: well-formed XML with a declaration).
#[must_use]
pub fn new(rating: u8) -> Vec<u8> {
    format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n\
         <x:xmpmeta xmlns:x=\"adobe:ns:meta/\">\n \
         <rdf:RDF xmlns:rdf=\"{RDF}\">\n  \
         <rdf:Description rdf:about=\"\" xmlns:xmp=\"{XMP}\" xmp:Rating=\"{rating}\"/>\n \
         </rdf:RDF>\n\
         </x:xmpmeta>\n"
    )
    .into_bytes()
}

#[cfg(test)]
mod tests {
    use super::*;

    const HEAD: &str =
        "<x:xmpmeta xmlns:x=\"adobe:ns:meta/\"><rdf:RDF xmlns:rdf=\"http://www.w3.org/1999/02/22-rdf-syntax-ns#\">";
    const TAIL: &str = "</rdf:RDF>\r\n<!-- Rating --></x:xmpmeta>\t";

    fn edited(description: &str) -> Result<String, String> {
        let bytes = with_rating(format!("{HEAD}{description}{TAIL}").as_bytes(), 3)?;
        let text = String::from_utf8(bytes).unwrap();
        Ok(text.strip_prefix(HEAD).unwrap().strip_suffix(TAIL).unwrap().to_owned())
    }

    /// Every byte but those of the value, or of one attribute, is as it was.
    #[test]
    fn one_place_changes_and_no_other_byte() {
        for (before, after) in [
            (
                "<rdf:Description  xmlns:xmp='http://ns.adobe.com/xap/1.0/'\r\n xmp:Rating = '0' a='&amp;'/>",
                "<rdf:Description  xmlns:xmp='http://ns.adobe.com/xap/1.0/'\r\n xmp:Rating = '3' a='&amp;'/>",
            ),
            (
                "<rdf:Description xmlns:q=\"http://ns.adobe.com/xap/1.0/\" q:Rating=\"\"/>",
                "<rdf:Description xmlns:q=\"http://ns.adobe.com/xap/1.0/\" q:Rating=\"3\"/>",
            ),
            (
                "<rdf:Description><q:Rating xmlns:q=\"http://ns.adobe.com/xap/1.0/\">0</q:Rating ></rdf:Description>",
                "<rdf:Description><q:Rating xmlns:q=\"http://ns.adobe.com/xap/1.0/\">3</q:Rating ></rdf:Description>",
            ),
            (
                "<rdf:Description><q:Rating xmlns:q=\"http://ns.adobe.com/xap/1.0/\" /></rdf:Description>",
                "<rdf:Description><q:Rating xmlns:q=\"http://ns.adobe.com/xap/1.0/\" >3</q:Rating></rdf:Description>",
            ),
            (
                "<rdf:Description><q:Rating xmlns:q=\"http://ns.adobe.com/xap/1.0/\"></q:Rating></rdf:Description>",
                "<rdf:Description><q:Rating xmlns:q=\"http://ns.adobe.com/xap/1.0/\">3</q:Rating></rdf:Description>",
            ),
            (
                "<rdf:Description rdf:about=\"a>b\" note=\"mine\"/>",
                "<rdf:Description xmlns:xmp=\"http://ns.adobe.com/xap/1.0/\" xmp:Rating=\"3\" rdf:about=\"a>b\" note=\"mine\"/>",
            ),
            (
                "<rdf:Description xmlns:xap=\"http://ns.adobe.com/xap/1.0/\"><xap:Label>best</xap:Label></rdf:Description>",
                "<rdf:Description xap:Rating=\"3\" xmlns:xap=\"http://ns.adobe.com/xap/1.0/\"><xap:Label>best</xap:Label></rdf:Description>",
            ),
            (
                "<rdf:Description xmlns:xmp=\"urn:other\" xmlns=\"http://ns.adobe.com/xap/1.0/\"><Label>a</Label></rdf:Description>",
                "<rdf:Description xmlns:xap=\"http://ns.adobe.com/xap/1.0/\" xap:Rating=\"3\" xmlns:xmp=\"urn:other\" xmlns=\"http://ns.adobe.com/xap/1.0/\"><Label>a</Label></rdf:Description>",
            ),
        ] {
            assert_eq!(edited(before).as_deref(), Ok(after));
        }
    }

    #[test]
    fn what_cannot_be_changed_safely_is_left() {
        for description in [
            "",
            "<rdf:Description xmlns:q=\"http://ns.adobe.com/xap/1.0/\" q:Rating=\"1\"><q:Rating>2</q:Rating></rdf:Description>",
            "<rdf:Description",
            "<rdf:Description><q:Rating xmlns:q=\"http://ns.adobe.com/xap/1.0/\">0<!-- mine --></q:Rating></rdf:Description>",
        ] {
            assert!(edited(description).is_err(), "{description}");
        }
        assert!(with_rating(b"\xff\xfe<\0", 3).unwrap_err().contains("UTF-8"));
        assert!(with_rating(b"", 3).is_err());
    }

    #[test]
    fn a_new_sidecar_reads_as_meant_and_a_mark_stays() {
        for rating in 1..=5 {
            let fresh = new(rating);
            assert_eq!(packet::said(std::str::from_utf8(&fresh).unwrap()), Said::Rating(f64::from(rating)));
            assert_eq!(with_rating(&fresh, rating), Ok(fresh.clone()));
        }
        let marked = [MARK, &new(1)].concat();
        assert_eq!(with_rating(&marked, 4), Ok([MARK, &new(4)].concat()));
    }
}
