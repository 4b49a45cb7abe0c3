//! The bytes of the notes as text: UTF-8 or UTF-16, with or without a mark; anything else as Windows-1252.

/// The bytes 80 to 9F hex in Windows-1252, where Latin-1 has control characters (WHATWG Encoding Standard,
/// index-windows-1252: the five without a letter stay control characters).
const WINDOWS: [char; 32] = [
    '€', '\u{81}', '‚', 'ƒ', '„', '…', '†', '‡', 'ˆ', '‰', 'Š', '‹', 'Œ', '\u{8d}', 'Ž', '\u{8f}', '\u{90}', '‘', '’',
    '“', '”', '•', '–', '—', '˜', '™', 'š', '›', 'œ', '\u{9d}', 'ž', 'Ÿ',
];

/// The text with plain line ends. Never fails: bytes that are no UTF-8 are letters of Windows-1252.
#[must_use]
pub fn decode(bytes: &[u8]) -> String {
    let text = match bytes {
        [0xef, 0xbb, 0xbf, rest @ ..] => one_byte_or_utf8(rest),
        [0xff, 0xfe, rest @ ..] => utf16(rest, u16::from_le_bytes),
        [0xfe, 0xff, rest @ ..] => utf16(rest, u16::from_be_bytes),
        // A table begins with a letter of ASCII, so that without a mark one of the first two bytes is zero.
        [first, 0, ..] if *first != 0 => utf16(bytes, u16::from_le_bytes),
        [0, second, ..] if *second != 0 => utf16(bytes, u16::from_be_bytes),
        _ => one_byte_or_utf8(bytes),
    };
    text.replace("\r\n", "\n").replace('\r', "\n")
}

fn one_byte_or_utf8(bytes: &[u8]) -> String {
    match std::str::from_utf8(bytes) {
        Ok(text) => text.to_owned(),
        Err(_) => bytes.iter().map(|byte| windows(*byte)).collect(),
    }
}

fn windows(byte: u8) -> char {
    let special = byte.checked_sub(0x80).and_then(|index| WINDOWS.get(usize::from(index)));
    special.copied().unwrap_or(char::from(byte))
}

fn utf16(bytes: &[u8], unit: fn([u8; 2]) -> u16) -> String {
    let units: Vec<u16> = bytes.chunks_exact(2).filter_map(|pair| pair.try_into().ok()).map(unit).collect();
    String::from_utf16_lossy(&units)
}

#[cfg(test)]
mod tests {
    use super::decode;

    #[test]
    fn every_encoding_gives_one_text() {
        let wanted = "from,light\nT_1,blåtop ⅛\n";
        let windows_ends = wanted.replace('\n', "\r\n");
        let marked = |mark: &[u8], bytes: Vec<u8>| [mark, &bytes].concat();
        let little: Vec<u8> = windows_ends.encode_utf16().flat_map(u16::to_le_bytes).collect();
        let big: Vec<u8> = wanted.encode_utf16().flat_map(u16::to_be_bytes).collect();
        for bytes in [
            wanted.into(),
            wanted.replace('\n', "\r").into(),
            marked(b"\xef\xbb\xbf", windows_ends.clone().into()),
            marked(b"\xff\xfe", little.clone()),
            marked(b"\xfe\xff", big.clone()),
            little,
            big,
        ] {
            assert_eq!(decode(&bytes), wanted, "{bytes:x?}");
        }
    }

    /// Latin-1 (ISO 8859-1): bytes are code points; the dashes and quotes are those of Windows-1252.
    #[test]
    fn bytes_of_old_programs_are_letters() {
        assert_eq!(decode(b"bl\xe5top \xbd \x96 \x93key\x94"), "blåtop ½ – “key”");
        assert_eq!(decode(b""), "");
        assert_eq!(decode(b"\xff\xfeA"), "");
    }
}
