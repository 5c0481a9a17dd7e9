//! Words that name a kind of goods, a size, a colour, a stuff or a make: they say what a parcel
//! holds and not which parcel it is, so a tag is made of them only when there is nothing better.
//!
//! The list is fixed on purpose. How often a word stands in the batch is not known when the first
//! parcels are tagged, and a tag that is once on a bag must stay. Not here: the small words that
//! are never a tag (`words`).

/// Whether a folded word names a kind of goods.
pub(super) fn is_goods_word(folded: &str) -> bool {
    GOODS_WORDS.binary_search(&folded).is_ok()
}

/// Kinds of goods, sizes and colours in the languages of the country names, in Greek and in
/// Russian, folded and sorted.
#[rustfmt::skip]
const GOODS_WORDS: &[&str] = &[
    "alb", "albastru", "albastră", "album", "albums", "albă", "altes", "amarela", "amarelo",
    "amarillo", "ancien", "anillo", "anneau", "antique", "apron", "arancione", "arany", "argent",
    "argento", "argenté", "argentée", "argintiu", "armband", "art", "atrament", "auriu", "azul",
    "azzurra", "azzurro", "badge", "bag", "bags", "bague", "barna", "barva", "bead", "beads",
    "becher", "beige", "belt", "bianca", "bianco", "biała", "białe", "biały", "big", "bijou",
    "black", "blanc", "blanca", "blanche", "blanco", "blanket", "blau", "blaue", "blauer", "blauw",
    "blauwe", "blekk", "bleu", "bleue", "bleus", "blue", "bläck", "blå", "blæk", "board", "boek",
    "boeken", "bog", "bois", "boite", "bok", "bolsa", "bolso", "book", "bookmark", "books",
    "bordeaux", "borsa", "bottle", "bottles", "bougie", "bouteille", "bowl", "box", "boxes",
    "bracelet", "branca", "branco", "brass", "braun", "braune", "brauner", "bread", "breit",
    "brief", "briefmarke", "bright", "broad", "bronze", "brooch", "brown", "bruin", "bruine",
    "brun", "brush", "brushes", "brązowa", "brązowy", "buch", "bunt", "burgundy", "button",
    "buttons", "bílá", "bílý", "böcker", "bögre", "bücher", "cable", "caderno", "caiet", "calze",
    "camera", "camicia", "camisa", "candle", "candles", "caneca", "caneta", "canvas", "cană", "cap",
    "card", "cards", "carnet", "carta", "carte", "cartes", "cartolina", "cartridge", "case",
    "cases", "cassette", "castanho", "celeste", "ceramic", "cerneală", "chain", "chapeau",
    "charcoal", "charm", "charms", "chemise", "chiaro", "chocolate", "ciemna", "ciemny", "cinza",
    "cinzento", "clair", "claire", "claro", "classic", "clock", "cloth", "clothes", "coat",
    "coffee", "coin", "coins", "collection", "collier", "color", "colore", "colour", "comic",
    "converter", "copper", "coral", "corta", "corto", "cotton", "couleur", "court", "courte",
    "cover", "crayon", "cream", "crema", "crème", "cuaderno", "cuero", "cuir", "culoare", "cuoio",
    "cup", "cups", "curto", "custom", "cyan", "czarna", "czarne", "czarny", "czerwona", "czerwone",
    "czerwony", "cămașă", "dark", "decor", "deschis", "desk", "diary", "dick", "disc", "disco",
    "discs", "disque", "dlouhý", "doll", "donker", "donkerblauw", "dorada", "dorado", "dorato",
    "doré", "dorée", "dose", "dotted", "double", "dourado", "dress", "dunkel", "dunkelblau",
    "dunkelgrau", "dunkelgrün", "duża", "duże", "duży", "dvd", "dünn", "długa", "długi", "earring",
    "earrings", "echarpe", "edition", "enamel", "encre", "envelope", "envelopes", "escuro", "extra",
    "ezüst", "eșarfă", "fabric", "farbe", "farbig", "farge", "farve", "feder", "fehér", "fekete",
    "felt", "feuille", "fialová", "fialový", "figure", "film", "fine", "fioletowa", "fioletowy",
    "first", "flasche", "flat", "fleur", "flower", "folder", "foncé", "foncée", "fountain", "frame",
    "free", "färg", "füller", "füllfeder", "füzet", "galben", "galbenă", "game", "games", "garn",
    "geantă", "geel", "gelb", "gelbe", "gelber", "gele", "gialla", "giallo", "gift", "gifts",
    "gioco", "glas", "glass", "glove", "gloves", "gold", "golden", "goud", "grand", "grande",
    "grandes", "grandi", "grands", "grau", "graue", "gray", "green", "grey", "gri", "grigia",
    "grigio", "grijs", "grijze", "gris", "grise", "groen", "groene", "groot", "gross", "grosse",
    "grossen", "grosser", "grosses", "grote", "grå", "grön", "gröna", "grösse", "grøn", "grønn",
    "grün", "grüne", "grüner", "gul", "guld", "gull", "gyertya", "gyűrű", "halsduk", "halskette",
    "handmade", "handschuhe", "harmaa", "hat", "heavy", "heft", "hell", "hellblau", "hellgrau",
    "hellgrün", "hemd", "hnědá", "hnědý", "holder", "holz", "hoodie", "hopea", "hose", "hosszú",
    "hout", "hrnek", "huge", "huivi", "hvid", "hvit", "inchiostro", "indigo", "inel", "ing", "ink",
    "inkoust", "inks", "inkt", "iso", "ivoire", "ivory", "jabón", "jacke", "jacket", "jar", "jasna",
    "jasny", "jaune", "jeans", "jeu", "jewellery", "jewelry", "jigsaw", "jouet", "journal", "juego",
    "juguete", "jumper", "kaars", "kaart", "karte", "karten", "keltainen", "kerze", "keskikoko",
    "kette", "key", "keyring", "khaki", "kicsi", "kirja", "kis", "kleid", "klein", "kleine",
    "kleinen", "kleiner", "kleines", "kleur", "knife", "kniha", "knit", "knitted", "koko", "kolor",
    "kop", "kopp", "kort", "kortti", "koszula", "košile", "krus", "krátký", "krótka", "krótki",
    "książka", "kubek", "kugelschreiber", "kulta", "kurz", "kurze", "kynttilä", "kynä", "kártya",
    "kék", "könyv", "közepes", "laine", "lamp", "lana", "lang", "lange", "laranja", "larga",
    "large", "largo", "laukku", "leather", "leder", "leer", "legno", "letter", "libri", "libro",
    "libros", "licht", "lichtblauw", "light", "lila", "lilac", "lilla", "lille", "limited", "lined",
    "linen", "liten", "little", "livre", "livres", "livro", "ljus", "lommebog", "long", "longo",
    "longue", "lotion", "lumânare", "lung", "lunga", "lungo", "lungă", "lyhyt", "lys", "läder",
    "lång", "löffel", "maat", "madera", "magazine", "magenta", "magnet", "malá", "malé", "malý",
    "map", "mare", "mari", "marine", "maro", "maroon", "marron", "marrone", "marrón", "mask",
    "matita", "mała", "małe", "mały", "media", "mediana", "mediano", "medias", "medio", "mediu",
    "medium", "mellem", "messer", "metal", "mic", "mici", "mică", "middel", "mijlociu", "mini",
    "misura", "mittel", "mittlere", "modrá", "modrý", "montre", "morada", "morado", "mov", "moyen",
    "moyenne", "mug", "mugg", "mugs", "muki", "multi", "multicolor", "multicolour", "musta",
    "mustard", "muste", "mydło", "média", "médio", "méret", "mörk", "mørk", "mütze", "mýdlo",
    "mărime", "nagy", "narancs", "naranja", "narrow", "natural", "navy", "neagră", "necklace",
    "needle", "needles", "negra", "negro", "negru", "nera", "nero", "nib", "nibs", "niebieska",
    "niebieski", "niebieskie", "noir", "noire", "note", "notebook", "notebooks", "notes",
    "notizbuch", "ohrringe", "oil", "oorbellen", "orange", "oranje", "oranssi", "oranžová",
    "oranžový", "orecchini", "organic", "original", "ornament", "oro", "oscura", "oscuro", "paars",
    "paint", "painting", "paita", "pale", "panna", "papel", "paper", "papier", "papper", "patch",
    "pattern", "pen", "pencil", "pencils", "pendant", "penn", "penna", "penne", "pens", "pequena",
    "pequeno", "pequeña", "pequeño", "pero", "petit", "petite", "petites", "petits", "piccola",
    "piccoli", "piccolo", "picture", "pieni", "pierścionek", "pin", "pink", "pins", "piros",
    "pitkä", "pióro", "plain", "plastic", "plata", "plate", "plateado", "plates", "platte", "pluma",
    "plume", "pochette", "pocket", "pomarańczowy", "porcelain", "porcelaine", "portocaliu",
    "porzellan", "postcard", "postcards", "poster", "posters", "pot", "potlood", "prateado",
    "preta", "preto", "print", "prints", "prsten", "pull", "punainen", "purple", "purse", "puzzle",
    "płyta", "quaderno", "quality", "rare", "record", "records", "red", "refill", "restored",
    "ribbon", "riesig", "ring", "rings", "robe", "rode", "roja", "rojo", "roll", "rood", "rosa",
    "rosado", "rose", "rossa", "rosso", "rot", "rote", "roter", "rouge", "rouges", "round", "roxa",
    "roxo", "roz", "roze", "rozmiar", "roșie", "roșu", "rug", "ruskea", "rózsaszín", "różowa",
    "różowy", "röd", "röda", "rövid", "rød", "røde", "růžová", "růžový", "sabonete", "sac",
    "sachet", "saco", "saippua", "sample", "sapone", "savon", "scarf", "schachtel", "schal",
    "schallplatte", "schmal", "schmuck", "school", "schrift", "schuhe", "schwarz", "schwarze",
    "schwarzer", "scuro", "scurt", "scurtă", "sealed", "seeds", "seide", "seife", "sheet", "sheets",
    "shirt", "shirts", "shoe", "shoes", "short", "silber", "silbern", "silk", "silver", "single",
    "sininen", "sjaal", "skirt", "small", "små", "soap", "soaps", "sock", "socken", "socks", "soft",
    "sokken", "sormus", "sort", "special", "speelgoed", "spiel", "spielzeug", "spoon", "srebrna",
    "srebrny", "srebro", "stamp", "stamps", "steel", "sticker", "stickers", "stift", "stilou",
    "stoff", "stone", "stones", "stor", "store", "storlek", "stort", "straight", "string", "studio",
    "stylo", "størrelse", "střední", "stříbrná", "stříbrný", "suuri", "svart", "svarta", "svíčka",
    "světlý", "sweater", "szalik", "szappan", "szara", "szary", "szín", "szürke", "sál", "sárga",
    "sötét", "sølv", "săpun", "tablecloth", "taglia", "taille", "talla", "tamanho", "tamaño",
    "tape", "tas", "tasche", "taske", "tasse", "taza", "tazza", "taška", "tea", "teal", "teapot",
    "tela", "teller", "thick", "thin", "thread", "timbre", "tin", "tinta", "tinte", "tiny", "tmavý",
    "toll", "top", "torba", "toy", "toys", "trousers", "tshirt", "tube", "tuch", "tumma",
    "turchese", "turquesa", "turquoise", "tvål", "táska", "täytekynä", "töltőtoll", "türkis", "uhr",
    "vaalea", "valkoinen", "vase", "vaso", "vela", "velikost", "velká", "velké", "velký", "verde",
    "vermelha", "vermelho", "verre", "vert", "verte", "veske", "vestido", "vestito", "vihko",
    "vihreä", "világos", "vintage", "vinyl", "viola", "violet", "violett", "violette", "violetti",
    "vit", "vita", "vulpen", "väri", "väska", "vörös", "wallet", "watch", "watches", "wax", "weiss",
    "weisse", "weisser", "white", "wide", "wit", "witte", "wolle", "wood", "wooden", "wool",
    "woollen", "wrap", "yarn", "yellow", "zapatos", "zeep", "zelená", "zelený", "zeszyt", "zielona",
    "zielone", "zielony", "zilver", "zlatá", "zlatý", "zwart", "zwarte", "zápisník", "zöld",
    "złota", "złoto", "złoty", "étroit", "închis", "černá", "černý", "červená", "červený", "średni",
    "średnia", "średnie", "świeca", "šedá", "šedý", "šála", "żółta", "żółte", "żółty", "žlutá",
    "žlutý", "άσπρο", "ασημί", "βιβλίο", "γκρι", "κίτρινο", "καφέ", "κερί", "κόκκινο", "λευκό",
    "μέγεθοσ", "μαύρο", "μεγάλη", "μεγάλο", "μελάνι", "μεσαίο", "μικρό", "μπλε", "πένα", "πράσινο",
    "ροζ", "χαρτί", "χρυσό", "χρώμα", "альбом", "белая", "белый", "большая", "большой", "бумага",
    "голубой", "длинный", "желтая", "желтый", "зеленая", "зеленый", "золотой", "книга", "кольцо",
    "коричневый", "короткий", "красная", "красный", "кружка", "малая", "маленький", "малый",
    "оранжевый", "перо", "пластинка", "размер", "розовый", "ручка", "светлый", "свеча", "серая",
    "серебряный", "серый", "синий", "синяя", "средний", "средняя", "темный", "тетрадь", "тёмный",
    "фиолетовый", "цвет", "черная", "чернила", "черный",
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::batch::likeness::fold_text;

    #[test]
    fn goods_words_are_sorted_and_folded() {
        assert!(GOODS_WORDS.is_sorted_by(|one, next| one < next));
        assert!(GOODS_WORDS.iter().all(|word| fold_text(word) == *word));
    }

    #[test]
    fn kinds_are_known_and_names_are_not() {
        assert!(
            ["pen", "black", "tinte", "chemise", "gross", "grosse", "střední"]
                .into_iter()
                .all(is_goods_word)
        );
        assert!(!["heron", "marlow", "avocet"].into_iter().any(is_goods_word));
    }
}
