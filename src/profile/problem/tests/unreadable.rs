//! Messages for files that are no YAML, or no text.

use crate::profile::Document;

fn refused(text: &str) -> String {
    let outcome = Document::parse("profiles/x.yaml", text.as_bytes());
    outcome.expect_err("is refused").render()
}

#[test]
fn texts_that_are_no_yaml() {
    let all = [
        "a: 1\nb:\n\tc: 2\n",
        "a: b: c\n",
        "a: 'it's'\n",
        "a: \"open\nb: 1\n",
        "a: [1, 2\nb: 3\n",
        "a: {x: 1\nb: 3\n",
        "a:\n  - x\n  y: 1\n",
        "a:\n   b: 1\n  c: 2\n",
        "a: - x\n",
        "a: 1\nplain words\nb: 2\n",
        "a: @home\n",
        "a: *none\n",
        "a: !volts 5\n",
        "a: &t !!int x\n",
        "'a' b\n",
        "a: \"\\q\"\n",
        "a: 1\n---\nb: 2\n",
        "a: \u{7}\n",
        "a: [}\n",
        "%TAG\na: 1\n",
        "a: |2x\n  y\n",
    ]
    .map(|text| format!("{text:?}\n{}", refused(text)));
    insta::assert_snapshot!(all.join("\n"), @r##"
    "a: 1\nb:\n\tc: 2\n"
    profiles/x.yaml:3:1: error
         3 >  c: 2
             ^
        a tab is used to indent
        fix: indent with blanks; two per level are usual

    1 error in profiles/x.yaml

    "a: b: c\n"
    profiles/x.yaml:1:5: error
         1 > a: b: c
                 ^
        a second ":" stands in the same line, or this line is indented too far
        fix: put a value that holds ": " in quotes; give each key its own line

    1 error in profiles/x.yaml

    "a: 'it's'\n"
    profiles/x.yaml:1:8: error
         1 > a: 'it's'
                    ^
        this does not fit what stands before it
        fix: give keys that belong together the same indent; let quote marks enclose a whole value

    1 error in profiles/x.yaml

    "a: \"open\nb: 1\n"
    profiles/x.yaml:1:4: error
         1 > a: "open
                ^
        the quoted text that opens here is not closed
        fix: put the closing quote mark at its end

    1 error in profiles/x.yaml

    "a: [1, 2\nb: 3\n"
    profiles/x.yaml:2:2: error
         2 > b: 3
              ^
        the list in brackets opened at line 1, column 4 is not closed before this
        fix: put "," between the items and "]" at the end

    1 error in profiles/x.yaml

    "a: {x: 1\nb: 3\n"
    profiles/x.yaml:2:2: error
         2 > b: 3
              ^
        the block in braces opened at line 1, column 4 is not closed before this
        fix: put "," between the entries and "}" at the end

    1 error in profiles/x.yaml

    "a:\n  - x\n  y: 1\n"
    profiles/x.yaml:3:3: error
         3 >   y: 1
               ^
        this line does not go on with the list opened at line 2, column 3
        fix: begin each item with "- " at the same indent, or move the line out of the list

    1 error in profiles/x.yaml

    "a:\n   b: 1\n  c: 2\n"
    profiles/x.yaml:3:3: error
         3 >   c: 2
               ^
        this does not fit what stands before it
        fix: give keys that belong together the same indent; let quote marks enclose a whole value

    1 error in profiles/x.yaml

    "a: - x\n"
    profiles/x.yaml:1:4: error
         1 > a: - x
                ^
        a list item cannot begin here
        fix: put the first "- " on a line of its own below the key

    1 error in profiles/x.yaml

    "a: 1\nplain words\nb: 2\n"
    profiles/x.yaml:2:1: error
         2 > plain words
             ^
        this is not followed by a ":", though a key is wanted here
        fix: write "key: value"; text over several lines is indented below its key

    1 error in profiles/x.yaml

    "a: @home\n"
    profiles/x.yaml:1:4: error
         1 > a: @home
                ^
        a value cannot begin with "@"
        fix: put the value in quotes

    1 error in profiles/x.yaml

    "a: *none\n"
    profiles/x.yaml:1:4: error
         1 > a: *none
                ^
        an alias names something that is not marked before it
        fix: mark the value with "&name" further up, or quote a value that begins with "*"

    1 error in profiles/x.yaml

    "a: !volts 5\n"
    profiles/x.yaml:1:4: error
         1 > a: !volts 5
                ^
        a tag, "!volts", stands here; tags are not used
        fix: remove the tag, or put the value in quotes if it begins with "!"

    1 error in profiles/x.yaml

    "a: &t !!int x\n"
    profiles/x.yaml:1:4: error
         1 > a: &t !!int x
                ^
        the value does not fit the tag before it
        fix: remove the tag; tags are not used in a profile

    1 error in profiles/x.yaml

    "'a' b\n"
    profiles/x.yaml:1:5: error
         1 > 'a' b
                 ^
        this does not fit what stands before it
        fix: give keys that belong together the same indent; let quote marks enclose a whole value

    1 error in profiles/x.yaml

    "a: \"\\q\"\n"
    profiles/x.yaml:1:5: error
         1 > a: "\q"
                 ^
        a text in double quotes holds an unknown "\" escape
        fix: write "\\" for the backslash itself, or use single quotes

    1 error in profiles/x.yaml

    "a: 1\n---\nb: 2\n"
    profiles/x.yaml:2:1: error
         2 > ---
             ^
        a second document starts here; a profile file holds one
        fix: keep one document per file and remove the other "---" and "..." lines

    1 error in profiles/x.yaml

    "a: \u{7}\n"
    profiles/x.yaml:1:4: error
         1 > a: �
                ^
        a control character, U+0007, stands here
        fix: remove it; only plain text, line ends and tabs are read

    1 error in profiles/x.yaml

    "a: [}\n"
    profiles/x.yaml:1:5: error
         1 > a: [}
                 ^
        a value is missing here
        fix: write a value, or quote one that begins with a bracket, brace or comma

    1 error in profiles/x.yaml

    "%TAG\na: 1\n"
    profiles/x.yaml:1:5: error
         1 > %TAG
                 ^
        a line that begins with "%" is an order to the parser, and not a known one
        fix: remove the line, or put the value in quotes

    1 error in profiles/x.yaml

    "a: |2x\n  y\n"
    profiles/x.yaml:1:6: error
         1 > a: |2x
                  ^
        the text after "|" or ">" does not begin properly
        fix: begin it on the next line, indented; quote a value that begins with "|" or ">"

    1 error in profiles/x.yaml
    "##);
}

#[test]
fn bytes_that_are_no_text() {
    let refused = |bytes: &[u8]| {
        let outcome = Document::parse("profiles/x.yaml", bytes);
        outcome.expect_err("is refused").render()
    };
    let all =
        [refused(b"a: 1\nb: caf\xe9 au lait\n"), refused(b"a: x\0y\n"), refused(&[b'#'; 70_000])];
    insta::assert_snapshot!(all.join("\n"), @r##"
    profiles/x.yaml:2:7: error
         2 > b: caf� au lait
                   ^
        byte 0xE9, at offset 11 in the file, is not UTF-8
        fix: save the file as UTF-8 text

    1 error in profiles/x.yaml

    profiles/x.yaml:1:5: error
         1 > a: x�y
                 ^
        a NUL character stands here
        fix: remove it; only plain text, line ends and tabs are read

    1 error in profiles/x.yaml

    profiles/x.yaml: error
        the file is longer than 65536 bytes (64 KiB), the most that is read
        fix: check that this is a profile file; split it if it really is that long

    1 error in profiles/x.yaml
    "##);
}
