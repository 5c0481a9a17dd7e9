//! Pages of other PDFs drawn as dots: what would take for ever is refused before it is begun, and what
//! a page of print has is not. Only in a build with the feature `draw`.

use std::fmt::Write as _;
use std::io::Write as _;

use flate2::Compression;
use flate2::write::ZlibEncoder as Encoder;

use slipwright::images::{DrawnToil, PageCut, PageDrawError, PdfFile};
use slipwright::limits;

use crate::pdf_page_support::Draft;

/// The number of a limit.
fn most(name: &str) -> usize {
    let limit = limits::LIMITS.iter().find(|limit| limit.name.starts_with(name));
    usize::try_from(limit.unwrap_or_else(|| panic!("there is no limit `{name}`")).most).unwrap()
}

/// A page of 100 by 100 points whose content and resources are given.
fn page(content: &str, resources: &str) -> Draft {
    Draft::of_page(&format!("/MediaBox[0 0 100 100]/Contents 4 0 R/Resources<<{resources}>>"))
        .with_packed(4, "", content.as_bytes())
}

/// What comes of drawing a page: nothing to say, or what there is too much of.
fn toil(draft: &Draft) -> Option<DrawnToil> {
    let page = PdfFile::open(draft.to_file()).unwrap().page(1).unwrap();
    match page.draw(&PageCut::whole(page.size()), 100, 100) {
        Ok(_) => None,
        Err(PageDrawError::Toil(toil)) => Some(toil),
        Err(other) => panic!("{other}"),
    }
}

/// Forms from number 10 on, each drawing the next one `times` times, the last one a box; the
/// resources name the first one `F`.
fn nested(draft: Draft, levels: u32, times: usize) -> Draft {
    let form = "/Type/XObject/Subtype/Form/BBox[0 0 100 100]";
    let inner = (0..levels).fold(draft, |draft, level| {
        let next = 11 + level;
        let entries = format!("{form}/Resources<</XObject<</F {next} 0 R>>>>");
        draft.with_stream(10 + level, &entries, "/F Do ".repeat(times).as_bytes())
    });
    inner.with_stream(10 + levels, form, b"0 0 9 9 re f")
}

#[test]
fn forms_that_double_again_and_again_are_refused() {
    let bomb = |levels| nested(page("/F Do", "/XObject<</F 10 0 R>>"), levels, 2);
    assert_eq!(toil(&bomb(10)), None);
    assert_eq!(toil(&bomb(25)), Some(DrawnToil::Steps));
}

#[test]
fn whatever_draws_a_form_counts_it() {
    let form = "/Type/XObject/Subtype/Form/BBox[0 0 100 100]/Resources<</XObject<</F 10 0 R>>>>";
    let cell = "/Type/Pattern/PatternType 1/PaintType 1/TilingType 1/BBox[0 0 100 100]/XStep 100\
                /YStep 100/Resources<</XObject<</F 10 0 R>>>>";
    let font = "<</Type/Font/Subtype/Type3/FontBBox[0 0 9 9]/FontMatrix[1 0 0 1 0 0]/FirstChar 65\
                /LastChar 65/Widths[9]/Encoding<</Differences[65/A]>>/CharProcs<</A 5 0 R>>\
                /Resources<</XObject<</F 10 0 R>>>>>>";
    let cases = [
        ("/Pattern cs /P scn 0 0 50 50 re f", "/Pattern<</P 5 0 R>>", cell),
        ("BT /T 9 Tf (A) Tj ET", "/Font<</T 6 0 R>>", ""),
        ("/M gs 0 0 9 9 re f", "/ExtGState<</M<</SMask<</S/Luminosity/G 5 0 R>>>>>>", form),
    ];
    for (content, resources, entries) in cases {
        let with = |levels| {
            let draft = page(content, resources).with_stream(5, entries, b"/F Do").with(6, font);
            nested(draft, levels, 2)
        };
        assert_eq!(toil(&with(3)), None, "{content}");
        assert_eq!(toil(&with(25)), Some(DrawnToil::Steps), "{content}");
    }
    // A cell that overlaps itself in so many places is drawn as often.
    let dense = cell.replace("/XStep 100", "/XStep 0.0001");
    let draft = page(cases[0].0, cases[0].1).with_stream(5, &dense, b"0 0 1 1 re f");
    assert_eq!(toil(&draft), Some(DrawnToil::Steps));
}

#[test]
fn forms_in_one_another_have_a_depth() {
    let straight = |levels| nested(page("/F Do", "/XObject<</F 10 0 R>>"), levels, 1);
    let deepest = (1..60).rev().find(|levels| toil(&straight(*levels)).is_none()).unwrap();
    // The page itself is carried as a form, and the last one stands inside the levels.
    assert_eq!(deepest as usize + 2, most("levels of forms"));
    assert_eq!(toil(&straight(deepest + 1)), Some(DrawnToil::Depth));
    let circle = page("/F Do", "/XObject<</F 10 0 R>>").with_stream(
        10,
        "/Type/XObject/Subtype/Form/BBox[0 0 9 9]/Resources<</XObject<</F 10 0 R>>>>",
        b"/F Do /F Do",
    );
    assert_eq!(toil(&circle), Some(DrawnToil::Depth));
}

#[test]
fn steps_have_a_limit() {
    let most = most("steps of drawing a page");
    let steps = |count: usize| page(&"n ".repeat(count), "");
    // A few steps place the page as a form.
    assert_eq!(toil(&steps(most - 100)), None);
    assert_eq!(toil(&steps(most + 1)), Some(DrawnToil::Steps));
    let letters = format!("BT ({}) Tj ET", "x".repeat(most));
    assert_eq!(toil(&page(&letters, "")), Some(DrawnToil::Steps));
}

#[test]
fn dashes_have_a_limit() {
    let most = most("dashes");
    let line = |length: usize| page(&format!("[1] 0 d 0 9 m {length} 9 l S"), "");
    assert_eq!(toil(&line(most)), None);
    assert_eq!(toil(&line(most + 1)), Some(DrawnToil::Dashes));
    let dust = [
        "[0.0001 0.0001] 0 d 0 9 m 90 9 l S",
        "[0.0001] 0 d 0 0 90 90 re S",
        "q [0.0001] 0 d q [] 0 d Q 0 9 m 0 0 90 9 90 90 c S",
        "/D gs 0 9 m 90 9 90 90 v s",
        // An operator without what it asks for sets nothing; numbers too many stand before.
        "[0.0001] 0 d d 0 0 90 90 re S",
        "[0.0001] 0 d 0 d 0 0 90 90 re S",
        "[0.0001] 0 d [5] (a) d 0 0 90 90 re S",
        "7 [0.0001] 0 d 0 9 m 90 9 l S",
        "[0.0001] 0 d 7 7 0 0 90 90 re S",
        "[1] 0 d 0 9 m --90000000 9 l S",
        // What a renderer makes of these, nobody says.
        "[0] 0 d 0 9 m 90000 9 l S",
        "[-1 1.0001] 0 d 0 9 m 90 9 l S",
        "[0.0001 (a) 90] 0 d 0 9 m 90 9 l S",
        // A form goes on with the dashes, the font and the pattern that it is drawn with.
        "[0.0001] 0 d /F Do",
        "/L 9 Tf /F Do",
        "/Pattern cs /P scn /F Do",
        // What it began and did not paint, others may.
        "/G Do [1] 0 d S",
        // Letters are drawn with dashes too.
        "[0.0001] 0 d 1 Tr BT /N 9 Tf (a) Tj ET",
        "[1] 0 d 2 Tr BT /N 9 Tf 100 0 0 100 0 0 Tm (abc) Tj ET",
        "/E gs 0 9 m 90 9 l S",
    ];
    for content in dust {
        let resources = "/ExtGState<</D<</D[[0.0001]0]>>/E<</D[[5 0 R]0]>>>>\
            /XObject<</F 10 0 R/G 11 0 R>>/Pattern<</P 12 0 R>>/Font<</L 6 0 R>>";
        let form = "/Type/XObject/Subtype/Form/BBox[0 0 90 90]/Resources<<>>";
        let cell = "/PatternType 1/PaintType 1/TilingType 1/BBox[0 0 90 90]/XStep 90/YStep 90\
            /Resources<<>>";
        let dust = b"90 0 d0 [0.0001] 0 d 0 0 90 90 re S";
        let draft = page(content, resources)
            .with(5, "0.0001")
            .with(
                6,
                "<</Type/Font/Subtype/Type3/FontMatrix[1 0 0 1 0 0]/FontBBox[0 0 90 90]\
                /CharProcs<</a 7 0 R>>/Encoding<</Differences[97/a]>>/FirstChar 97/LastChar 97\
                /Widths[90]>>",
            )
            .with_stream(7, "", dust)
            .with_stream(10, form, b"0 0 90 90 re S BT (a) Tj ET")
            .with_stream(11, form, b"0 0 900000 900000 re")
            .with_stream(12, cell, dust);
        assert_eq!(toil(&draft), Some(DrawnToil::Dashes), "{content}");
    }
    for content in ["[0.0001] 0 d 0 9 m 90 9 l f", "[0.0001] 0 d [] 0 d 0 9 m 90 9 l S"] {
        assert_eq!(toil(&page(content, "")), None, "{content}");
    }
}

#[test]
fn pixels_have_a_limit() {
    let most = most("pixels of the pictures on a page");
    let picture = |width: usize, height: usize, rows: usize| {
        let entries = format!(
            "/Type/XObject/Subtype/Image/Width {width}/Height {height}/BitsPerComponent 1\
             /ColorSpace/DeviceGray"
        );
        let mut draft = page("90 0 0 90 0 0 cm /I Do", "/XObject<</I 5 0 R>>");
        draft = draft.with_packed(5, &entries, &vec![0; width.div_ceil(8) * rows]);
        draft
    };
    assert_eq!(toil(&picture(most / 5000, 5000, 5000)), None);
    assert_eq!(toil(&picture(most / 5000, 5001, 1)), Some(DrawnToil::Pixels));
    assert_eq!(toil(&picture(2_000_000_000, 1, 0)), Some(DrawnToil::Pixels));
    let mut often = String::new();
    for _ in 0..most / 1_000_000 {
        write!(often, "q 9 0 0 9 0 0 cm BI /W 1000 /H 1001 /BPC 1 /CS /G ID \n0 EI Q ").unwrap();
    }
    assert_eq!(toil(&page(&often, "")), Some(DrawnToil::Pixels));
}

#[test]
fn a_pictures_size_counts_by_whatever_name_it_is_said() {
    let drawn = |entries: &str, settings: &str| {
        let entries = format!("/Type/XObject/Subtype/Image/BitsPerComponent 8{entries}");
        let draft = page("90 0 0 90 0 0 cm /I Do", &format!("/XObject<</I 5 0 R>>{settings}"));
        toil(&draft.with_stream(5, &entries, b"x"))
    };
    let inks = "[/DeviceN[/A/B/C/D/E/F/G/H/I/J]/DeviceCMYK 6 0 R]";
    for (entries, settings) in [
        ("/W 2000000000/Height 1/ColorSpace/DeviceGray", ""),
        ("/Width 1/H 2000000000/ColorSpace/DeviceGray", ""),
        ("/Width 9/W 1/Height 1/H 2000000000/ColorSpace/DeviceGray", ""),
        ("/Width 9/Height 9000/Filter/CCITTFaxDecode/DecodeParms<</Columns 90000>>", ""),
        ("/Width 9/Height 9000/Filter[/CCF]/DP[<</Columns 90000>>]", ""),
        (&format!("/Width 5000/Height 5000/ColorSpace{inks}"), ""),
        (&format!("/Width 5000/Height 5000/ColorSpace[/Indexed{inks} 1<00>]"), ""),
        ("/Width 5000/Height 5000/ColorSpace/Own", "/ColorSpace<</Own[/DeviceN[/A]]>>"),
    ] {
        assert_eq!(drawn(entries, settings), Some(DrawnToil::Pixels), "{entries}");
    }
    assert_eq!(drawn("/Width 5000/Height 5000/ColorSpace/DeviceCMYK", ""), None);
    assert_eq!(drawn("/Width 9/Height 9/Filter/CCITTFaxDecode", ""), None);
    // How large these are stands in their packing alone.
    for packing in ["/JPXDecode", "/JBIG2Decode", "[/FlateDecode/JPXDecode]"] {
        let entries = format!("/Width 9/Height 9/ColorSpace/DeviceGray/Filter{packing}");
        assert_eq!(drawn(&entries, ""), Some(DrawnToil::Packing), "{entries}");
    }
}

#[test]
fn what_streams_unpack_to_has_a_limit() {
    let most = most("unpacked bytes of a page");
    let zeros = |count: usize| {
        let mut packed = Encoder::new(Vec::new(), Compression::best());
        packed.write_all(&vec![0; count]).unwrap();
        packed.finish().unwrap()
    };
    let twice = |count: usize| {
        let mut packed = Encoder::new(Vec::new(), Compression::best());
        packed.write_all(&zeros(count)).unwrap();
        packed.finish().unwrap()
    };
    let drawn = |entries: &str, data: &[u8], content: &str| {
        let entries =
            format!("/Type/XObject/Subtype/Image/Width 9/Height 9/ColorSpace/DeviceGray{entries}");
        let draft = page(content, "/XObject<</I 5 0 R>>");
        toil(&draft.with_stream(5, &entries, data))
    };
    let once = "90 0 0 90 0 0 cm /I Do ";
    assert_eq!(drawn("/Filter/FlateDecode", &zeros(most / 4), once), None);
    let often = once.repeat(4);
    assert_eq!(drawn("/Filter/FlateDecode", &zeros(most / 4), &often), Some(DrawnToil::Bytes));
    // Counting it does not unpack it as often either, which would take hours.
    let endless = once.repeat(100_000);
    assert_eq!(drawn("/Filter/FlateDecode", &zeros(most / 4), &endless), Some(DrawnToil::Bytes));
    let bombs: [(&str, Vec<u8>); 5] = [
        ("/Filter/FlateDecode", zeros(most)),
        ("/Filter[/Fl/Fl]", twice(most)),
        // Damaged, it is taken for as much as it may be.
        ("/Filter/FlateDecode", vec![b'x'; most / 1_000]),
        ("/Filter[/RL/Fl]", vec![b'x'; most / 100_000]),
        ("/Filter/Fl/DecodeParms<</Predictor 12/Columns 9000000000/Colors 4>>", zeros(9)),
    ];
    for (entries, data) in bombs {
        assert_eq!(drawn(entries, &data, once), Some(DrawnToil::Bytes), "{entries}");
    }
}
