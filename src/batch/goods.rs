//! Words that name a kind of goods, a colour, a stuff or a make: they say what a parcel holds and
//! not which parcel it is, so a tag is made of them only when there is nothing better.
//!
//! The list is fixed on purpose. How often a word stands in the batch is not known when the first
//! parcels are tagged, and a tag that is once on a bag must stay. Not here: the small words that
//! are never a tag (`words`).

/// Whether a folded word names a kind of goods.
pub(super) fn is_goods_word(folded: &str) -> bool {
    GOODS_WORDS.binary_search(&folded).is_ok()
}

/// Kinds of goods in several languages, folded and sorted.
#[rustfmt::skip]
const GOODS_WORDS: &[&str] = &[
    "album", "albums", "altes", "amarillo", "ancien", "anillo", "anneau", "antique", "apron",
    "argent", "armband", "art", "atrament", "azul", "badge", "bag", "bags", "bague", "bead",
    "beads", "becher", "beige", "belt", "bianca", "bianco", "biała", "biały", "bijou", "black",
    "blanc", "blanca", "blanche", "blanco", "blanket", "blau", "blauw", "bleu", "bleue", "blue",
    "bläck", "blå", "board", "boek", "boeken", "bois", "boite", "bok", "bolsa", "bolso", "book",
    "bookmark", "books", "borsa", "bottle", "bottles", "bougie", "bouteille", "bowl", "box",
    "boxes", "bracelet", "brass", "braun", "bread", "brief", "briefmarke", "broad", "bronze",
    "brooch", "brown", "bruin", "brush", "brushes", "buch", "button", "buttons", "böcker", "bücher",
    "cable", "calze", "camera", "camicia", "camisa", "candle", "candles", "canvas", "cap", "card",
    "cards", "carnet", "carta", "carte", "cartes", "cartolina", "cartridge", "case", "cases",
    "cassette", "ceramic", "chain", "chapeau", "charm", "charms", "chemise", "chocolate", "classic",
    "clock", "cloth", "clothes", "coat", "coffee", "coin", "coins", "collection", "collier",
    "comic", "converter", "copper", "cotton", "cover", "crayon", "cream", "cuaderno", "cuero",
    "cuir", "cuoio", "cup", "cups", "custom", "czarna", "czarny", "czerwona", "czerwony", "decor",
    "desk", "diary", "disc", "disco", "discs", "disque", "doll", "dose", "dotted", "double",
    "dress", "duży", "dvd", "earring", "earrings", "echarpe", "edition", "enamel", "encre",
    "envelope", "envelopes", "extra", "fabric", "farbe", "feder", "felt", "feuille", "figure",
    "film", "fine", "first", "flasche", "flat", "fleur", "flower", "folder", "fountain", "frame",
    "free", "füller", "füllfeder", "game", "games", "garn", "geel", "gelb", "gialla", "giallo",
    "gift", "gifts", "gioco", "glas", "glass", "glove", "gloves", "gold", "golden", "grande",
    "grau", "gray", "green", "grey", "gris", "grise", "groen", "groot", "gross", "grosse", "grå",
    "grön", "grün", "gul", "halsduk", "halskette", "handmade", "handschuhe", "hat", "heavy", "heft",
    "hemd", "holder", "holz", "hoodie", "hose", "hout", "inchiostro", "ink", "inks", "inkt",
    "jabón", "jacke", "jacket", "jar", "jaune", "jeans", "jeu", "jewellery", "jewelry", "jigsaw",
    "jouet", "journal", "juego", "juguete", "jumper", "kaars", "kaart", "karte", "karten", "kerze",
    "kette", "key", "keyring", "kleid", "klein", "kleine", "knife", "knit", "knitted", "kopp",
    "książka", "kubek", "kugelschreiber", "laine", "lamp", "lana", "large", "leather", "leder",
    "leer", "legno", "letter", "libri", "libro", "libros", "light", "lila", "limited", "lined",
    "linen", "livre", "livres", "ljus", "lotion", "läder", "löffel", "madera", "magazine", "magnet",
    "map", "mask", "matita", "mały", "medias", "medium", "messer", "metal", "mini", "montre", "mug",
    "mugs", "multi", "mydło", "mütze", "natural", "necklace", "needle", "needles", "negra", "negro",
    "nera", "nero", "nib", "nibs", "niebieski", "noir", "noire", "note", "notebook", "notebooks",
    "notes", "notizbuch", "ohrringe", "oil", "oorbellen", "orange", "orecchini", "organic",
    "original", "ornament", "oro", "paint", "painting", "papel", "paper", "papier", "papper",
    "patch", "pattern", "pen", "pencil", "pencils", "pendant", "penna", "penne", "pens", "pequeño",
    "petit", "petite", "piccola", "piccolo", "picture", "pin", "pink", "pins", "pióro", "plain",
    "plastic", "plata", "plate", "plates", "platte", "pluma", "plume", "pochette", "pocket",
    "porcelain", "porcelaine", "porzellan", "postcard", "postcards", "poster", "posters", "pot",
    "potlood", "print", "prints", "pull", "purple", "purse", "puzzle", "płyta", "quaderno",
    "quality", "rare", "record", "records", "red", "refill", "restored", "ribbon", "ring", "rings",
    "robe", "roja", "rojo", "roll", "rood", "rosa", "rose", "rossa", "rosso", "rot", "rouge",
    "round", "rug", "röd", "sac", "sachet", "sample", "sapone", "savon", "scarf", "schachtel",
    "schal", "schallplatte", "schmuck", "school", "schrift", "schuhe", "schwarz", "sealed", "seeds",
    "seide", "seife", "sheet", "sheets", "shirt", "shirts", "shoe", "shoes", "silber", "silk",
    "silver", "single", "sjaal", "skirt", "small", "soap", "soaps", "sock", "socken", "socks",
    "soft", "sokken", "special", "speelgoed", "spiel", "spielzeug", "spoon", "srebro", "stamp",
    "stamps", "steel", "sticker", "stickers", "stift", "stoff", "stone", "stones", "stor",
    "straight", "string", "studio", "stylo", "svart", "sweater", "tablecloth", "tape", "tas",
    "tasche", "tasse", "taza", "tazza", "tea", "teapot", "tela", "teller", "thick", "thin",
    "thread", "timbre", "tin", "tinta", "tinte", "top", "toy", "toys", "trousers", "tshirt", "tube",
    "tuch", "tvål", "uhr", "vase", "vaso", "vela", "verde", "verre", "vert", "verte", "vestido",
    "vestito", "vintage", "vinyl", "viola", "violet", "vit", "vulpen", "väska", "wallet", "watch",
    "watches", "wax", "weiss", "white", "wit", "wolle", "wood", "wooden", "wool", "woollen", "wrap",
    "yarn", "yellow", "zapatos", "zeep", "zeszyt", "zielony", "zilver", "zwart", "złoto", "świeca",
    "żółty", "βιβλίο", "κερί", "μεγάλο", "μελάνι", "μικρό", "πένα", "χαρτί", "альбом", "белая",
    "белый", "бумага", "голубой", "желтый", "зеленый", "книга", "кольцо", "красная", "красный",
    "кружка", "маленький", "перо", "пластинка", "ручка", "свеча", "синий", "тетрадь", "черная",
    "чернила", "черный",
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
        assert!(["pen", "black", "tinte", "chemise"].into_iter().all(is_goods_word));
        assert!(!["heron", "marlow", "avocet"].into_iter().any(is_goods_word));
    }
}
