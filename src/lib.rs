//! Slipwright: labels, bench cards and packing slips for people who sell online and pack their own
//! parcels.
//!
//! The stages, in the order the data passes them:
//!
//! 1. [`read_orders`] takes JSON apart into [`Order`]s with their places in the file;
//! 2. [`Batch::assemble`] makes parcels of them: combined, numbered, tagged, paired;
//! 3. [`read_layout`] checks a layout, a YAML file in millimetres;
//! 4. [`Binder`] puts one parcel into the layout: loops unrolled, templates run;
//! 5. [`Composer`] gives every block its room, every text its lines, every code its dots, and
//!    makes finished [`Page`]s;
//! 6. [`inspect`] checks pages against the rules of paper and readers, and [`correct_page`] makes up
//!    for what was measured of their printer;
//! 7. [`PdfEncoder`] and [`PdfWriter`], [`render_svg`] and [`render_png`] write them.
//!
//! [`Run`] is the whole chain, on all cores and in order; [`run_command`] is the command around it.
//! Everything that is wrong anywhere is a [`Diagnostic`] with its place. The core reads files only
//! through [`Env`], and no clock at all: the same input gives the same bytes.

mod address;
mod batch;
mod bind;
mod cli;
mod codes;
mod compose;
mod correct;
mod diag;
mod export;
mod fields;
mod fonts;
mod geom;
mod images;
mod intake;
mod kit;
mod layout;
mod limits;
mod orders;
mod parcel;
mod pipeline;
mod preflight;
mod record;
mod ruler;
mod scene;
mod shipped;
mod shop;
mod source;
mod stock;
mod tree;
mod verify;

pub use address::{
    Formatted, Line as AddressLine, Part, Parts, Problem, ProblemCode, ProblemSeverity, Role,
    Sender, check_address, check_sender, country_codes, country_languages, country_name,
    example_postcodes, format_address, lay_address, named_countries, suggest_countries,
};
pub use batch::{
    Batch, BatchKey, BatchOptions, Mates, PAIR_ALPHABET, PairCode, PairFault, PairScan, Parcel,
    ScanFault, Side, TALLY_CELLS, Tag, Tally, check_split, find_mates, inspect_addresses, skeleton,
};
pub use bind::{
    Binder, Bound, BoundBody, BoundPage, BoundTable, Content, Context, ContextMaker, Furniture,
    KitContents, KitDocument,
};
pub use cli::{Exit, run_command};
pub use codes::{
    CODE128_QUIET_ZONE, CheckDigitError, Code128, Code128Error, Data, Ecc, Element, ElementStrings,
    Gs1Error, Gs1Key, MAX_GS1_CHARACTERS, QR_QUIET_ZONE, Qr, QrError, QrOptions, S10, S10Error,
    gs1_check_digit, s10_check_digit, verify_gtin, verify_mod10, verify_sscc,
};
pub use compose::{
    Composed, Composer, PageFrame, PageLabel, PictureStore, SheetPlan, SheetSide, plan_sheet,
};
pub use correct::{correct_page, printable_part};
pub use diag::{
    Diagnostic, Severity, Style as DiagnosticStyle, Subject, has_errors,
    render as render_diagnostic,
};
pub use export::{
    Bitmap, Duplex, EncodedPage, PdfDate, PdfEncoder, PdfError, PdfOptions, PdfWriter, SvgOptions,
    expect_page, list_modules, rasterise, render_png, render_svg, write_pdf,
};
pub use fields::{Address, COUNTRY_CODES, CURRENCY_CODES, CountryCode, CurrencyCode, Gtin};
pub use fonts::{
    BaseDirection, Cluster, Cut, Embedding, FaceLabel, FaceMetrics, FamilyId, FontBook, FontError,
    FontId, Glyph, GlyphBox, Line, MissingGlyph, MissingGlyphs, Paragraph, PathSegment,
    Run as GlyphRun, Shaper, TextError, TextStyle, read_face_labels,
};
pub use geom::{
    DotGrid, FillRule, Insets, MM_PER_INCH, MM_PER_PT, Mm, Point, QuarterTurn, Rect, Segment, Size,
    TOLERANCE,
};
pub use images::{
    ArchivalProblem, BitImage, DeviceColour, Drawing, GrayImage, ImageError, ImageFormat,
    ImportedPage, PageCut, PageDrawError, PageRemark, PdfFile, PdfIdentity, PdfImportError,
    Picture, Raster, Shape, SharedObjects, WrittenPage, decode as decode_picture, dither, resample,
};
pub use intake::{
    Intake, IntakeError, IntakeMap, OpenExport, intake_schema, list_cells, propose_map,
    read_intake_map, take_in,
};
pub use kit::{KitParcel, KitRecord};
pub use layout::{
    Align, BATCH_VARIABLES, BLOCKS, BUILTIN_FILTERS, Block, BlockKind, BlockRule, COLUMN, COMMON,
    Caption, Column, ColumnAlign, Correction, Cut as TextCut, CutLog, Definition, DefinitionValue,
    Direction, Expression, ExpressionId, FILTERS, FamilyUse, FileHome, FillOrder, Filter, Fit,
    Form, Keep, LAYOUT, Layout, Length, Makes, NEEDED, PAGE, PageOf, PageSetup, SHEET, Scaling,
    Sheet, Sides, Sit, TYPE, Table, Template, TemplateId, TemplateText, TurnEdge, TypeStyle,
    VARIABLES, Variable, Weight, Who, layout_schema, read_layout,
};
pub use limits::{LIMITS as ALL_LIMITS, Limit, SVG_BYTES};
pub use orders::{
    AsideOrder, BadOrder, CarrierLabel, Item, Order, Orders, locate_field, orders_schema,
    read_orders, write_aside,
};
pub use parcel::{
    Band, Billing, BillingRules, Cargo, Extent, Extra, Figure, GOODS, Good, HeavyCaution,
    HeavyLevel, HeavyRules, ItemBox, ItemPlace, Keeps, LIMITS, LengthUnit, LimitCheck, Limits,
    Load, LooseBox, MOST_BOXES, Mass, MassUnit, Obstacle, PACKS, Pack, PackTrial, PackVerdict,
    ParcelFacts, ParcelRules, PlacedBox, Placement, Quote, QuotedExtra, Quotes, RATES, RateTable,
    Refused, Service, SideRounding, Size3, Tariff, Units, VolumeFactor, WEIGHTS, Weighing,
    WeightRules, Wishes, Wrapping, Zone, bill, box_good, caution, length_and_girth, order_packs,
    parse_size, place_boxes, quote, read_goods, read_limits, read_packs, read_parcel_rules,
    read_rates, read_weights, show_sides, standard_limits, try_pack, weigh, weigh_items,
    weigh_packed,
};
pub use pipeline::{BatchWatch, Document, Outcome, Run, Selection, watch_batch, watch_selection};
pub use preflight::{
    BatchCheck, ModuleLimits, PageFacts, PairMark, PairSide, RULES, RepeatFold, Rule, Rules,
    fold_repeats, inspect, inspect_batch, inspect_sheet,
};
pub use record::{Field, Kind, Record, Refusal, Scalar};
pub use ruler::{Ruler, draw_ruler, ruler_guide};
pub use scene::{
    BlockId, CodeMark, DotRect, ForeignMark, Ink, Mark, MarkKind, Outline, Page, PictureMark,
    PlacedBlock, RunStart, Symbol, TallyMark, TextRun, Turn, count_letters,
};
pub use shipped::{SHIPPED, Shipped, find_shipped};
pub use shop::{
    Defaults, HazardRules, HazardSignature, KitLayout, KitPlan, PageOrder, Shop, Undeclared,
    shop_schema,
};
pub use source::{Env, FileId, NoFiles, Position, Source, Sources, Span};
pub use stock::{NamedStock, Press, Printer, Printers, STOCKS, Stock};
pub use verify::{
    Grade, Measure, ProofTally, Proofing, ProvenCode, ProvenPage, Reading, find_codes, print_page,
    prove_page, read_codes,
};
