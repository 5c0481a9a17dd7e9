//! Invented orders that differ as real ones do: thirty countries, long titles, names and streets
//! put together from parts, each parcel its own weight; the same ones every time. Most of it is tables of words.

use std::fmt::Write as _;

use crate::maker::Dice;

/// How a country writes, as far as the orders need it.
struct Country {
    /// Its code.
    code: &'static str,
    /// Its postcodes: `#` is any figure, all else stands for itself.
    postcode: &'static str,
    /// Its region, where addresses name one.
    region: &'static str,
    /// The words that it makes names from.
    tongue: &'static Tongue,
}

/// The parts of a tongue's names.
struct Tongue {
    /// First names.
    first: &'static [&'static str],
    /// Beginnings of family names, streets and towns.
    stems: &'static [&'static str],
    /// Endings of family names.
    families: &'static [&'static str],
    /// Endings of towns.
    towns: &'static [&'static str],
    /// Streets: `*` is a name, `#` the number.
    streets: &'static [&'static str],
}

/// One of the places where most parcels go.
const HOME: Country = place("GB", "TR## #NH", "", &ENGLISH);

/// How many of ten parcels stay at home.
const AT_HOME: usize = 4;

/// Where the others go.
const ABROAD: &[Country] = &[
    place("DE", "26###", "", &GERMAN),
    place("AT", "4###", "", &GERMAN),
    place("CH", "8###", "", &GERMAN),
    place("LU", "4###", "", &GERMAN),
    place("FR", "29###", "", &FRENCH),
    place("BE", "4###", "", &FRENCH),
    place("NL", "35## AB", "", &DUTCH),
    place("DK", "4###", "", &NORDIC),
    place("NO", "4###", "", &NORDIC),
    place("SE", "4## ##", "", &NORDIC),
    place("FI", "40###", "", &NORDIC),
    place("PT", "4###-0##", "", &SOUTHERN),
    place("ES", "28###", "Madrid", &SOUTHERN),
    place("IT", "20###", "MI", &SOUTHERN),
    place("RO", "40####", "Cluj", &SOUTHERN),
    place("PL", "4#-###", "", &SLAVIC),
    place("CZ", "4## ##", "", &SLAVIC),
    place("SK", "8## ##", "", &SLAVIC),
    place("HR", "10###", "", &SLAVIC),
    place("SI", "4###", "", &SLAVIC),
    place("HU", "4###", "", &SLAVIC),
    place("EE", "10###", "", &SLAVIC),
    place("LT", "04###", "", &SLAVIC),
    place("GR", "4## ##", "", &GREEK),
    place("BG", "4###", "", &CYRILLIC),
    place("IE", "A65 F4E#", "Cork", &ENGLISH),
    place("US", "973##", "OR", &ENGLISH),
    place("CA", "V#K #V#", "BC", &ENGLISH),
    place("AU", "25##", "NSW", &ENGLISH),
];

/// A row of the table of countries.
const fn place(
    code: &'static str,
    postcode: &'static str,
    region: &'static str,
    tongue: &'static Tongue,
) -> Country {
    Country { code, postcode, region, tongue }
}

/// English names.
static ENGLISH: Tongue = Tongue {
    first: &[
        "Ada", "Owen", "Mabel", "Siân", "Hollis", "Freya", "Cormac", "Edith", "Rowan", "Niamh",
        "Silas", "Wren", "Tamsin", "Jago", "Morwenna", "Alasdair", "Beatrix", "Corin", "Demelza",
        "Ewan",
    ],
    stems: &[
        "Ash",
        "Birch",
        "Coldwater",
        "Dun",
        "Elder",
        "Fern",
        "Glen",
        "Hazel",
        "Iron",
        "Juniper",
        "Kestrel",
        "Larch",
        "Marsh",
        "North",
        "Oaken",
        "Pen",
        "Quill",
        "Raven",
        "Salt",
        "Thistle",
        "Under",
        "Vale",
        "Whit",
        "Yarrow",
        "Brack",
        "Clover",
        "Drift",
        "Ember",
    ],
    families: &[
        "combe", "ley", "worth", "field", "wick", "by", "thorne", "gate", "more", "den", "hurst",
        "well",
    ],
    towns: &[
        " Quay",
        "mouth",
        "bridge",
        "-on-the-Wold",
        "stead",
        " St Corin",
        "haven",
        "cross",
        " Magna",
        "ford",
    ],
    streets: &[
        "# * Lane",
        "# * Row",
        "# Old * Road",
        "#a * Terrace",
        "# * Crescent",
        "Flat #, * Court",
    ],
};

/// German names.
static GERMAN: Tongue = Tongue {
    first: &[
        "Jörg",
        "Anneliese",
        "Bärbel",
        "Clemens",
        "Dörte",
        "Eberhard",
        "Friederike",
        "Götz",
        "Hannelore",
        "Ingeborg",
        "Jürgen",
        "Käthe",
        "Lüder",
        "Mechthild",
        "Notburga",
        "Ottokar",
    ],
    stems: &[
        "Ahorn", "Birken", "Dachs", "Eschen", "Föhren", "Grün", "Höhen", "Itz", "Krähen", "Linden",
        "Mühl", "Nebel", "Öhren", "Pfauen", "Quellen", "Rüben", "Sieben", "Tannen", "Ulmen",
        "Vogel", "Weiden", "Zwölf",
    ],
    families: &[
        "berger", "felder", "bächler", "müller", "hauser", "wälder", "mann", "stätter", "gärtner",
        "reuter",
    ],
    towns: &[
        "siel",
        "brück",
        "hausen",
        "heim am Moor",
        "stedt",
        "kirchen",
        "bach",
        "dorf an der Ohe",
    ],
    streets: &["*straße #", "*weg # b", "Am Alten *hof #", "An der *mühle #", "*gasse #"],
};

/// French names.
static FRENCH: Tongue = Tongue {
    first: &[
        "Élodie",
        "Anaïs",
        "Benoît",
        "Célestine",
        "Désiré",
        "Églantine",
        "François",
        "Gaëlle",
        "Hélène",
        "Irénée",
        "Joséphine",
        "Loïc",
        "Maëlys",
        "Noémie",
        "Océane",
        "Théophile",
    ],
    stems: &[
        "Aubé",
        "Beauchê",
        "Char",
        "Dufrê",
        "Écla",
        "Fleuri",
        "Garço",
        "Haute",
        "Joli",
        "Lanver",
        "Montclai",
        "Neuvi",
        "Orvau",
        "Pérou",
        "Quesno",
        "Rochefa",
        "Saint-Élo",
        "Trému",
        "Vauclai",
        "Plouar",
    ],
    families: &["nnet", "rière", "deau", "sson", "llier", "ville", "nnot", "gnac", "quin", "chêne"],
    towns: &[
        "mel-sur-Aven",
        "ville-en-Forêt",
        "gny-le-Puits",
        "zac",
        "rville",
        "nay-lès-Bois",
        "court",
    ],
    streets: &[
        "# bis, rue du *puits",
        "#, allée des *ns",
        "#, impasse de la *lle",
        "#, quai *rd",
        "#, chemin *l",
    ],
};

/// Dutch names.
static DUTCH: Tongue = Tongue {
    first: &[
        "Anneke", "Bas", "Coöp", "Daan", "Eefje", "Fleur", "Geertje", "Hidde", "Ilse", "Joris",
        "Kees", "Lotte",
    ],
    stems: &[
        "Appel", "Beuken", "Dijk", "Eiken", "Gouden", "Hazel", "IJzer", "Kersen", "Linden",
        "Molen", "Noorder", "Oever", "Polder", "Reiger", "Schaap", "Turf", "Veen", "Wilgen", "Zee",
    ],
    families: &["man", "stra", "huis", "veld", "beek", "kamp", "dam", "burg", "hof", "boom"],
    towns: &["dam", "drecht", "veen", "wijk aan Zee", "broek", "oord", "meer"],
    streets: &["*straat #", "*laan #-hs", "*kade # II", "Oude *weg #", "*gracht #"],
};

/// Northern names.
static NORDIC: Tongue = Tongue {
    first: &[
        "Åsa",
        "Bjørn",
        "Dagny",
        "Eyvind",
        "Frøya",
        "Göran",
        "Håkon",
        "Ingrid",
        "Jørgen",
        "Kåre",
        "Linnéa",
        "Märta",
        "Øyvind",
        "Ragnhild",
        "Sølvi",
        "Torbjörn",
    ],
    stems: &[
        "Alm", "Berg", "Dal", "Ek", "Fjell", "Gran", "Häll", "Ingel", "Kvarn", "Lind", "Mose",
        "Nord", "Ös", "Rönn", "Sjö", "Torp", "Ulv", "Väster", "Åker", "Øster",
    ],
    families: &["qvist", "ström", "gård", "sen", "lund", "dahl", "vik", "blom", "haug", "mark"],
    towns: &["havn", "köping", "sund", "vik", "torp", "strand", "fors"],
    streets: &["*gatan # B", "*veien #", "*vej #, 2. th.", "*stigen # A lgh 1102", "*katu # C 14"],
};

/// Names of the south.
static SOUTHERN: Tongue = Tongue {
    first: &[
        "Álvaro",
        "Beatriz",
        "Conceição",
        "Duarte",
        "Estêvão",
        "Fiorella",
        "Gonçalo",
        "Inês",
        "João",
        "Lucía",
        "Nuño",
        "Ottavia",
        "Ştefan",
        "Úrsula",
        "Violante",
        "Ximena",
    ],
    stems: &[
        "Alme", "Belve", "Casta", "Dorna", "Espi", "Ferre", "Gualda", "Herrera", "Lagu", "Monte",
        "Naran", "Olive", "Pinha", "Queima", "Ribei", "Salva", "Torre", "Valde", "Villa", "Zarza",
    ],
    families: &["ra", "nho", "da", "lli", "scu", "rdo", "neda", "zar", "tti", "reira"],
    towns: &["da del Mar", "lta de Cima", "ra la Nueva", "dinho", "rosa sul Lago", "neşti", "mar"],
    streets: &[
        "Rua das *ras #, 3.º Esq.",
        "Calle de la *da #, 2.º B",
        "Via *lla #/c",
        "Strada *ni nr. #",
        "Travessa *l #",
    ],
};

/// Slavic names, and some that share their letters.
static SLAVIC: Tongue = Tongue {
    first: &[
        "Bożena",
        "Čeněk",
        "Dušan",
        "Elżbieta",
        "Gábor",
        "Håvard",
        "Ilona",
        "Jiří",
        "Kąstutis",
        "Łucja",
        "Małgorzata",
        "Ondřej",
        "Přemysl",
        "Růžena",
        "Světlana",
        "Tõnu",
        "Vojtěch",
        "Zdzisław",
        "Željko",
        "Žofie",
    ],
    stems: &[
        "Brzez", "Čern", "Dąbr", "Grab", "Jaw", "Kowal", "Lip", "Modř", "Nov", "Olsz", "Płoch",
        "Rokyt", "Šum", "Třeb", "Vrb", "Wierz", "Zelen", "Žab", "Sosn", "Jezer",
    ],
    families: &["owski", "ický", "ák", "ewicz", "ović", "ínek", "ecki", "ová", "ský", "ar"],
    towns: &["ice nad Lesem", "owo Dolne", "ina", "ec", "išče", "ovany", "iny Małe"],
    streets: &["ul. *owa # m. 14", "*ova #/8", "Na *ině #", "aleja *owska #", "*ska cesta #"],
};

/// Greek names.
static GREEK: Tongue = Tongue {
    first: &[
        "Ελένη",
        "Αθηνά",
        "Γιώργος",
        "Δέσποινα",
        "Ζωή",
        "Ιάσονας",
        "Κατερίνα",
        "Λευτέρης",
        "Μυρτώ",
        "Νικόλαος",
    ],
    stems: &[
        "Αλκυ",
        "Βελα",
        "Γαλην",
        "Δροσ",
        "Ελατ",
        "Θαλασσ",
        "Καρυδ",
        "Λιβαδ",
        "Μελισσ",
        "Πεταλ",
        "Σταφυλ",
        "Φεγγαρ",
    ],
    families: &["όπουλος", "ινού", "άκης", "ίδης", "αράς", "ιανός"],
    towns: &["όγιαλος", "οχώρι", "ιές", "όκαμπος", "ότοπος"],
    streets: &["Οδός *όνης #", "Λεωφόρος *ιάς #", "Πλατεία *ίου #"],
};

/// Cyrillic names.
static CYRILLIC: Tongue = Tongue {
    first: &[
        "Марина",
        "Богдан",
        "Веселина",
        "Градимир",
        "Донка",
        "Живко",
        "Здравка",
        "Любомир",
        "Невена",
        "Огнян",
    ],
    stems: &[
        "Бел",
        "Въл",
        "Горск",
        "Дъбов",
        "Ела",
        "Жълт",
        "Златар",
        "Калин",
        "Липов",
        "Орлов",
        "Черн",
        "Ябълк",
    ],
    families: &["ев", "ова", "ин", "ски", "аров", "ичков"],
    towns: &["ово", "ец", "ица", "град", "ен бряг"],
    streets: &["ул. „*ска“ № #", "бул. *ов #, ет. 3", "пл. *а #"],
};

/// An article: its number in the sample shop or empty, what it is called, and its weight in grams.
struct Article {
    /// Its number; the sample shop knows its measures.
    sku: &'static str,
    /// Words of its title that stand before the model and behind it.
    title: [&'static str; 2],
    /// Grams.
    weight: u32,
    /// Whether a letter, or a box with another such thing in it, has no room for it.
    bulky: bool,
    /// Where it was made.
    origin: &'static str,
}

/// A row of the table of articles.
const fn article(
    sku: &'static str,
    title: [&'static str; 2],
    weight: u32,
    bulky: bool,
    origin: &'static str,
) -> Article {
    Article { sku, title, weight, bulky, origin }
}

/// What is sold.
const ARTICLES: &[Article] = &[
    article(
        "KF-4-F",
        ["Kingfisher", "fountain pen, restored, new sac and pressure bar, fine 14 ct nib"],
        24,
        false,
        "GB",
    ),
    article(
        "OC-6-M",
        ["Oystercatcher", "piston filler, new cork, polished, medium nib with some flex"],
        31,
        false,
        "GB",
    ),
    article(
        "CU-5-EF",
        ["Curlew", "lever filler in mottled hard rubber, extra fine nib, serviced"],
        24,
        false,
        "DE",
    ),
    article(
        "WR-2-F",
        ["Wren", "ring-top pen on a ribbon, engine-turned barrel, fine nib"],
        19,
        false,
        "GB",
    ),
    article(
        "NB-14-M",
        ["Nib", "14 ct gold, medium, smoothed and set for a light hand"],
        2,
        false,
        "DE",
    ),
    article("FEED-2", ["Feed", "hard rubber, heat-set, with a spare collector"], 3, false, "DE"),
    article(
        "CLOTH-1",
        ["Polishing cloth", "two layers, hemmed, never treated with silicone"],
        60,
        false,
        "FR",
    ),
    article(
        "NB-A6-DOT",
        ["Notebook A6", "sewn, dotted, ink-proof paper of 90 g, rounded corners"],
        130,
        true,
        "PT",
    ),
    article(
        "INK-SEA-50",
        ["Ink", "sea grey, iron gall, 50 ml in a glass bottle with a dropper"],
        155,
        true,
        "AT",
    ),
    article(
        "INK-OAK-50",
        ["Ink", "oak brown, lightfast, 50 ml in a glass bottle with a dropper"],
        155,
        true,
        "AT",
    ),
    article(
        "ROLL-6",
        ["Pen roll", "for six pens, waxed canvas, lined with brushed cotton"],
        140,
        true,
        "IE",
    ),
    article(
        "BOOK-1",
        [
            "The mender's handbook",
            "second printing, stitched, with 214 drawings of filling systems",
        ],
        680,
        true,
        "GB",
    ),
];

/// What a letter takes.
const THIN: &[Article] = ARTICLES.split_at(7).0;

/// What models are called.
const MODELS: &[&str] = &["No.", "Model", "Series", "Pattern", "Mark"];

/// Colours and finishes.
const COLOURS: &[&str] = &[
    "tortoiseshell",
    "jade green",
    "burgundy swirl",
    "pearl and black",
    "lapis blue",
    "amber striated",
    "smoke grey",
    "coral red",
    "ivory",
    "midnight",
    "moss green",
    "rosewood",
];

/// What buyers write.
const MESSAGES: &[&str] = &[
    "Please leave it with the neighbour at the mill if nobody opens.",
    "It is for my father's seventieth birthday; a word on the card would make him happy!",
    "Could the nib be tuned a little wetter than usual? Thank you.",
    "Merci beaucoup pour le soin apporté à la première commande.",
];

/// So many orders as JSON.
pub(crate) fn make_orders(count: usize) -> String {
    let mut dice = Dice::new();
    let mut text = String::from("{\"batch\": \"bench\", \"orders\": [\n");
    for number in 0..count {
        text.push_str(if number == 0 { "" } else { ",\n" });
        write_order(&mut text, number, &mut dice);
    }
    text.push_str("\n]}\n");
    text
}

/// Writes one order.
fn write_order(text: &mut String, number: usize, dice: &mut Dice) {
    let country = if dice.roll(10) < AT_HOME { &HOME } else { dice.choose(ABROAD) };
    let _ = write!(
        text,
        "{{\"id\": \"TH-{number:06}\", \"placed\": \"2026-11-{:02}\", ",
        dice.roll(28) + 1
    );
    write_address(text, country, dice);
    text.push_str("\"items\": [");
    let (mut weight, mut bulky) = (90 + dice.roll(60) as u32, false);
    for item in 0..=dice.roll(3) {
        // Two of these would need a crate, which the shop's services do not carry abroad.
        let articles = if bulky { THIN } else { ARTICLES };
        let article = dice.choose(articles);
        text.push_str(if item == 0 { "" } else { ", " });
        weight += write_item(text, article, dice);
        bulky |= article.bulky;
    }
    let _ = write!(text, "], \"parcel\": {{\"weight_g\": {weight}}}, \"hazard\": \"none\"");
    if bulky || weight > 700 {
        text.push_str(", \"service\": \"tracked parcel\"");
    }
    if dice.roll(12) == 0 {
        text.push_str(", \"gift\": true");
    }
    if dice.roll(5) == 0 {
        let _ = write!(text, ", \"message\": \"{}\"", dice.pick(MESSAGES));
    }
    text.push('}');
}

/// Writes whom an order goes to.
fn write_address(text: &mut String, country: &Country, dice: &mut Dice) {
    let tongue = country.tongue;
    let family = format!("{}{}", dice.pick(tongue.stems), dice.pick(tongue.families));
    let _ = write!(
        text,
        "\"ship_to\": {{\"name\": \"{} {}. {family}\", ",
        dice.pick(tongue.first),
        char::from(b'A' + dice.roll(26) as u8)
    );
    if dice.roll(6) == 0 {
        let _ = write!(text, "\"company\": \"{} & {family}\", ", dice.pick(tongue.stems));
    }
    let street = dice.pick(tongue.streets).replace('*', dice.pick(tongue.stems));
    let street = street.replace('#', &(dice.roll(180) + 1).to_string());
    let _ = write!(text, "\"lines\": [\"{street}\"");
    if dice.roll(5) == 0 {
        let _ = write!(text, ", \"{} {}\"", dice.pick(tongue.stems), dice.roll(40) + 1);
    }
    let town = format!("{}{}", dice.pick(tongue.stems), dice.pick(tongue.towns));
    let figure = |letter| match letter {
        '#' => char::from(b'1' + dice.roll(9) as u8),
        letter => letter,
    };
    let postcode: String = country.postcode.chars().map(figure).collect();
    let _ = write!(text, "], \"city\": \"{town}\", \"postcode\": \"{postcode}\", ");
    if !country.region.is_empty() {
        let _ = write!(text, "\"region\": \"{}\", ", country.region);
    }
    if dice.roll(3) == 0 {
        let _ = write!(text, "\"phone\": \"01632 960{:03}\", ", dice.roll(1000));
    }
    let _ = write!(text, "\"country\": \"{}\"}}, ", country.code);
}

/// Writes one item and tells the weight of all of it.
fn write_item(text: &mut String, article: &Article, dice: &mut Dice) -> u32 {
    let qty = if article.bulky { 1 } else { dice.roll(3) as u32 + 1 };
    let [before, behind] = article.title;
    let _ = write!(
        text,
        "{{\"sku\": \"{}\", \"title\": \"{before} {} {}, {}, {behind}\", \"qty\": {qty}, \"price\": \"{}.{:02}\", \
         \"shelf\": \"{}{}\", \"weight_g\": {}, \"hs\": \"9608{:02}\", \"origin\": \"{}\"}}",
        article.sku,
        dice.pick(MODELS),
        dice.roll(90) + 10,
        dice.pick(COLOURS),
        dice.roll(160) + 4,
        dice.roll(100),
        char::from(b'A' + dice.roll(6) as u8),
        dice.roll(9) + 1,
        article.weight,
        dice.roll(99) + 1,
        article.origin,
    );
    qty * article.weight
}
