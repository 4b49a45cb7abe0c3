pub struct Recap { pub markdown: String, pub pictures: Vec<(String, Vec<u8>)> } pub fn render(_: &super::Report) -> Recap { Recap { markdown: String::new(), pictures: vec![] } }
