//! Words that name a kind of goods, a part of it, a size, a colour, a stuff or how it is made: they say what a parcel
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
    "abeille", "acryl", "affiche", "affiches", "aiguille", "aiguilles", "alb", "albastru",
    "albastră", "album", "albums", "albă", "als", "altes", "amarela", "amarelo", "amarillo",
    "ambachtelijk", "ancien", "anhänger", "anillo", "anneau", "ansichtkaart", "antique", "apron",
    "aquarell", "arancione", "arany", "argent", "argento", "argenté", "argentée", "argentées",
    "argentés", "argintiu", "armband", "armreif", "art", "artisanal", "artisanale", "assiette",
    "assiettes", "atrament", "aufkleber", "auriu", "autocollant", "azul", "azzurra", "azzurro",
    "badge", "bag", "bags", "bague", "bagues", "balpen", "band", "barna", "barva", "bead", "beads",
    "becher", "bedruckt", "bedrukt", "beige", "beker", "bekers", "belt", "bestickt", "beutel",
    "bianca", "bianco", "biała", "białe", "biały", "bienenwachs", "big", "bijenwas", "bijou",
    "bild", "bilder", "bille", "black", "blad", "bladen", "bladzijden", "blanc", "blanca",
    "blanche", "blanches", "blanco", "blancs", "blanket", "blanko", "blatt", "blau", "blaue",
    "blauer", "blauw", "blauwe", "blech", "bleistift", "bleistifte", "blekk", "bleu", "bleue",
    "bleus", "blik", "bloc", "block", "blok", "blue", "bläck", "blätter", "blå", "blæk", "board",
    "boek", "boeken", "boekenlegger", "bog", "bogen", "bohne", "bohnen", "bois", "boite", "bok",
    "bolsa", "bolso", "bon", "bonen", "bonne", "bonnet", "book", "bookmark", "books", "bord",
    "bordeaux", "borden", "bordspel", "borsa", "bottle", "bottles", "boucle", "boucles", "bougie",
    "bougies", "bouteille", "bouton", "boutons", "bowl", "box", "boxes", "boîte", "boîtes",
    "bracelet", "bracelets", "branca", "branco", "brass", "braun", "braune", "brauner", "bread",
    "brede", "breed", "breedte", "breit", "breite", "breiter", "breites", "brettspiel", "brief",
    "briefmarke", "briefpapier", "bright", "brillant", "brillante", "broad", "bronze", "brooch",
    "brown", "bruin", "bruine", "brun", "brush", "brushes", "brązowa", "brązowy", "buch", "bunt",
    "burgundy", "button", "buttons", "buvard", "bâton", "bâtons", "bílá", "bílý", "böcker", "bögre",
    "bücher", "büttenpapier", "cable", "cacheter", "caderno", "café", "cahier", "cahiers", "caiet",
    "calendrier", "calze", "camera", "camicia", "camisa", "candle", "candles", "caneca", "caneta",
    "canvas", "cană", "cap", "card", "cards", "carnet", "carnets", "carré", "carrée", "carta",
    "carte", "cartes", "cartolina", "cartouche", "cartouches", "cartridge", "case", "cases",
    "cassette", "castanho", "celeste", "ceramic", "cerneală", "chain", "chapeau", "charcoal",
    "charm", "charms", "chaud", "chaude", "chaussette", "chaussettes", "chemise", "chiaro",
    "chocolate", "ciemna", "ciemny", "cinza", "cinzento", "cire", "ciseaux", "clair", "claire",
    "claro", "classic", "clock", "cloth", "clothes", "clé", "clés", "coat", "coffee", "coffret",
    "coffrets", "coin", "coins", "colle", "collection", "collier", "colliers", "color", "colore",
    "colour", "comic", "comme", "converter", "copper", "coral", "corta", "corto", "cotton",
    "couleur", "couleurs", "court", "courte", "couvercle", "couverture", "cover", "crayon",
    "crayons", "cream", "crema", "cremeweiss", "crème", "cuaderno", "cuero", "cuir", "culoare",
    "cuoio", "cup", "cups", "curto", "custom", "cyan", "czarna", "czarne", "czarny", "czerwona",
    "czerwone", "czerwony", "cămașă", "damen", "dark", "deckel", "decor", "deel", "deksel",
    "deschis", "desk", "diary", "dick", "dik", "dikke", "dikte", "disc", "disco", "discs", "disque",
    "dlouhý", "doll", "donker", "donkerblauw", "doos", "doosje", "doosjes", "dorada", "dorado",
    "dorato", "doré", "dorée", "dorées", "dorés", "dose", "dosen", "dotted", "double", "dourado",
    "dozen", "dress", "druck", "dun", "dunkel", "dunkelblau", "dunkelgrau", "dunkelgrün", "dunne",
    "dur", "dure", "duża", "duże", "duży", "dvd", "dünn", "długa", "długi", "earring", "earrings",
    "echarpe", "eckig", "edition", "einband", "enamel", "encadré", "encadrée", "encre", "encres",
    "enfant", "enfants", "envelop", "envelope", "envelopes", "enveloppe", "enveloppen",
    "enveloppes", "ersatz", "escuro", "etui", "extra", "extrafein", "ezüst", "eșarfă", "fabric",
    "fait", "faite", "faites", "farbe", "farben", "farbig", "farbton", "farge", "farve", "feder",
    "federn", "fehér", "fein", "feine", "feinen", "feiner", "feines", "fekete", "felt", "femme",
    "fer", "fermeture", "fest", "feste", "fester", "feuille", "feuilles", "feuillet", "feutre",
    "feutres", "fialová", "fialový", "figure", "fijn", "fijne", "film", "filz", "fin", "fine",
    "fines", "fins", "fioletowa", "fioletowy", "first", "flach", "flacon", "flacons", "flakon",
    "flasche", "flaschen", "flat", "fles", "flesje", "flesjes", "flessen", "fleur", "flower",
    "folder", "foncé", "foncée", "fountain", "frame", "franges", "franjes", "fransen", "free",
    "färg", "füller", "füllfeder", "füzet", "galben", "galbenă", "game", "games", "ganze", "garn",
    "geantă", "gebraucht", "gebreid", "gebruikt", "gebruikte", "gebunden", "geel", "gefüttert",
    "geglazuurd", "gehaakt", "gehäkelt", "gelb", "gelbe", "gelber", "gele", "gelinieerd",
    "gemahlen", "gemalen", "genäht", "gepunktet", "gerahmt", "geruit", "geschenk", "gestippeld",
    "gestreept", "gestreift", "gestrickt", "getragen", "gialla", "giallo", "gift", "gifts", "gioco",
    "glas", "glasiert", "glass", "glatt", "glove", "gloves", "glänzend", "gobelet", "goed", "goede",
    "gold", "golden", "gomme", "goud", "grain", "grains", "grand", "grande", "grandes", "grandi",
    "grands", "grau", "graue", "gray", "green", "grey", "gri", "griff", "grigia", "grigio", "grijs",
    "grijze", "gris", "grise", "groen", "groene", "groot", "gross", "grosse", "grossen", "grosser",
    "grosses", "grote", "grå", "grès", "grön", "gröna", "grösse", "grøn", "grønn", "grün", "grüne",
    "grüner", "gul", "guld", "gull", "gut", "gute", "guter", "gyertya", "gyűrű", "halsduk",
    "halskette", "handarbeit", "handbemalt", "handgefärbt", "handgemaakt", "handgemacht",
    "handgeverfd", "handmade", "handschuhe", "handvat", "hanger", "hard", "hardheid", "harmaa",
    "hart", "harte", "hat", "hauteur", "heavy", "heft", "hefte", "hell", "hellblau", "hellgrau",
    "hellgrün", "hemd", "herren", "hnědá", "hnědý", "hoes", "hoesje", "holder", "holz", "homme",
    "honig", "honing", "hoodie", "hoogte", "hopea", "hose", "hosszú", "hout", "hrnek", "huge",
    "huivi", "hvid", "hvit", "härte", "höhe", "hülle", "imprimé", "imprimée", "inchiostro",
    "indigo", "inel", "ing", "ingelijst", "ink", "inkoust", "inks", "inkt", "inktpatronen",
    "inktpot", "iso", "ivoire", "ivory", "jabón", "jacke", "jacket", "jar", "jasna", "jasny",
    "jaune", "jeans", "jeu", "jewellery", "jewelry", "jigsaw", "jouet", "journal", "juego",
    "juguete", "jumper", "kaars", "kaart", "kaarten", "kaffee", "kaft", "kalender", "kappe",
    "kariert", "karte", "karten", "karton", "keltainen", "keramiek", "kerze", "keskikoko", "kette",
    "ketting", "key", "keyring", "khaki", "kicsi", "kind", "kinder", "kirja", "kis", "kiste",
    "kleid", "klein", "kleine", "kleinen", "kleiner", "kleines", "kleur", "kleuren", "knife",
    "kniha", "knit", "knitted", "knoop", "knopen", "knopf", "knöpfe", "koffie", "koko", "kolor",
    "konverter", "kop", "kopje", "kopp", "korb", "kort", "korte", "kortti", "koszula", "košile",
    "kruiden", "krus", "krátký", "kräuter", "krótka", "krótki", "książka", "kubek",
    "kugelschreiber", "kulta", "kunstdruck", "kurz", "kurze", "kynttilä", "kynä", "kártya", "kék",
    "könyv", "közepes", "laine", "laiton", "lamp", "lana", "lang", "lange", "laranja", "larga",
    "large", "largeur", "largo", "laukku", "leather", "leder", "leeg", "leer", "legno", "leinen",
    "lengte", "lesezeichen", "letter", "lettre", "lettres", "libri", "libro", "libros", "licht",
    "lichtblauw", "light", "ligné", "lignée", "lijst", "lila", "lilac", "lilla", "lille", "limited",
    "lin", "lined", "linen", "liniert", "linnen", "liten", "little", "livre", "livres", "livro",
    "ljus", "lommebog", "long", "longo", "longs", "longue", "longues", "longueur", "lose", "lot",
    "lotion", "lots", "lumânare", "lung", "lunga", "lungo", "lungă", "lyhyt", "lys", "läder",
    "länge", "lång", "löffel", "löschpapier", "maand", "maat", "madera", "magazine", "magenta",
    "magnet", "main", "malá", "malé", "malý", "manche", "map", "mare", "mari", "marine", "maro",
    "maroon", "marque", "marron", "marrone", "marrón", "mask", "mat", "mate", "matita", "mats",
    "matt", "matte", "mattschwarz", "matzwart", "mała", "małe", "mały", "media", "mediana",
    "mediano", "medias", "medio", "mediu", "medium", "mellem", "mensuel", "messer", "messing",
    "metal", "meter", "meterware", "mic", "mici", "mică", "middel", "miel", "mijlociu", "mine",
    "minen", "mini", "misura", "mittel", "mittelfein", "mittlere", "modell", "modrá", "modrý",
    "mok", "mokken", "montre", "morada", "morado", "moulu", "mov", "moyen", "moyenne", "mug",
    "mugg", "mugs", "muki", "multi", "multicolor", "multicolour", "mural", "musta", "mustard",
    "muste", "muster", "muts", "mydło", "mètre", "mètres", "média", "médio", "méret", "mörk",
    "mørk", "mütze", "mýdlo", "mărime", "naald", "naalden", "nacre", "nadel", "nadeln", "nagy",
    "narancs", "naranja", "narrow", "natural", "navy", "neagră", "necklace", "needle", "needles",
    "negra", "negro", "negru", "nera", "nero", "neuf", "neuve", "neuwertig", "nib", "nibs",
    "niebieska", "niebieski", "niebieskie", "nieuw", "nieuwe", "noir", "noire", "noires", "noirs",
    "note", "notebook", "notebooks", "notes", "notitieboek", "notizbuch", "notizheft", "occasion",
    "ohrringe", "ohrstecker", "oil", "oorbel", "oorbellen", "orange", "oranje", "oranssi",
    "oranžová", "oranžový", "orecchini", "oreille", "oreilles", "organic", "original", "ornament",
    "oro", "oscura", "oscuro", "paar", "paare", "paars", "packung", "page", "pages", "paint",
    "painting", "paire", "paires", "paita", "pale", "panna", "papel", "paper", "papier", "papiers",
    "papper", "parelmoer", "patch", "patrone", "patronen", "patroon", "pattern", "peinture", "pen",
    "pencil", "pencils", "pendant", "pendentif", "penn", "penna", "penne", "pennen", "penpunt",
    "pens", "pequena", "pequeno", "pequeña", "pequeño", "perle", "perlen", "perlmutt", "pero",
    "petit", "petite", "petites", "petits", "piccola", "piccoli", "piccolo", "picture", "pieni",
    "pierścionek", "pin", "pinceau", "pinceaux", "pink", "pins", "pinsel", "piros", "pitkä",
    "pièce", "pièces", "pióro", "plaat", "plain", "plantes", "plastic", "plat", "plata", "plate",
    "plateado", "plates", "platte", "pluma", "plume", "plumes", "poche", "pochette", "pocket",
    "pointe", "pointes", "pointu", "pointure", "pointus", "pomarańczowy", "porcelain", "porcelaine",
    "porte", "portocaliu", "porzellan", "postale", "postales", "postcard", "postcards", "poster",
    "posters", "postkarte", "postkarten", "pot", "potloden", "potlood", "prateado", "preta",
    "preto", "print", "prints", "prsten", "pull", "punainen", "punktiert", "punt", "punten",
    "purple", "purse", "puzzel", "puzzle", "płyta", "quaderno", "quadratisch", "quadrillé",
    "quadrillée", "quality", "rare", "rayé", "rayée", "rechargeable", "record", "records", "red",
    "refill", "relié", "reliée", "restored", "ribbon", "riesig", "rigide", "ring", "rings", "rits",
    "robe", "rode", "roja", "rojo", "roll", "rolle", "rollen", "roman", "rond", "ronde", "rondes",
    "ronds", "rood", "rosa", "rosado", "rose", "rossa", "rosso", "rot", "rote", "roter", "rouge",
    "rouges", "round", "roxa", "roxo", "roz", "roze", "rozmiar", "roșie", "roșu", "rug", "rund",
    "runde", "runder", "rundes", "ruskea", "règle", "rózsaszín", "różowa", "różowy", "röd", "röda",
    "rövid", "rød", "røde", "růžová", "růžový", "sabonete", "sac", "sachet", "sachets", "saco",
    "saippua", "sample", "sapone", "savon", "savons", "scarf", "schaar", "schachtel", "schaft",
    "schal", "schallplatte", "scharf", "schere", "scherp", "schmal", "schmuck", "school", "schrift",
    "schriften", "schuhe", "schwarz", "schwarze", "schwarzer", "scuro", "scurt", "scurtă", "sealed",
    "seeds", "seide", "seife", "seite", "seiten", "serie", "sheet", "sheets", "shirt", "shirts",
    "shoe", "shoes", "short", "siegel", "siegellack", "signiert", "silber", "silbern", "silk",
    "silver", "single", "sininen", "sjaal", "skirt", "smal", "small", "smalle", "små", "soap",
    "soaps", "société", "sock", "socken", "socks", "soft", "sokken", "sormus", "sort", "sorte",
    "souple", "special", "speelgoed", "spiel", "spielzeug", "spits", "spitz", "spitze", "spoon",
    "srebrna", "srebrny", "srebro", "staaf", "staat", "stamp", "stamps", "stange", "steel",
    "steinzeug", "stempel", "sticker", "stickers", "stift", "stilou", "stof", "stoff", "stone",
    "stones", "stor", "store", "storlek", "stort", "straight", "strang", "streng", "string",
    "studio", "stuk", "stukjes", "stuks", "stylo", "stylos", "stärke", "størrelse", "střední",
    "stříbrná", "stříbrný", "suuri", "svart", "svarta", "svíčka", "světlý", "sweater", "szalik",
    "szappan", "szara", "szary", "szín", "szürke", "sál", "sárga", "sötét", "sølv", "săpun",
    "tablecloth", "taglia", "taille", "talla", "tamanho", "tamaño", "tampon", "tape", "tas",
    "tasche", "taschenbuch", "tasje", "taske", "tasse", "tassen", "tasses", "taza", "tazza",
    "taška", "tea", "teal", "teapot", "teil", "teile", "teint", "teinte", "tela", "teller",
    "tendre", "thee", "thick", "thin", "thread", "thé", "thés", "timbre", "tin", "tinta", "tinte",
    "tinten", "tintenfass", "tintenglas", "tiny", "tirage", "tissu", "tissus", "tmavý", "toll",
    "tome", "top", "torba", "toy", "toys", "tricoté", "tricotée", "trousers", "trousse", "tshirt",
    "tube", "tuch", "tumma", "turchese", "turquesa", "turquoise", "tvål", "táska", "täytekynä",
    "töltőtoll", "türkis", "tüte", "uhr", "umschlag", "umschläge", "uni", "unie", "unikat",
    "vaalea", "valkoinen", "vase", "vaso", "vel", "vela", "velikost", "velká", "velké", "velký",
    "vellen", "verde", "vergoldet", "verguld", "vermelha", "vermelho", "verpakking", "verre",
    "verres", "vert", "verte", "veske", "vestido", "vestito", "vide", "vierkant", "vihko", "vihreä",
    "vilt", "világos", "vintage", "vinyl", "viola", "violet", "violett", "violette", "violettes",
    "violetti", "vit", "vita", "vloeipapier", "vrac", "vulling", "vullingen", "vulpen", "väri",
    "väska", "vörös", "wallet", "wand", "wandkalender", "warm", "wasserfest", "watch", "watches",
    "waterdicht", "wax", "weich", "weiche", "weiches", "weiss", "weisse", "weisser", "white",
    "wide", "wit", "witte", "wol", "wolle", "wood", "wooden", "wool", "woollen", "wrap", "yarn",
    "yellow", "zacht", "zachte", "zakje", "zakjes", "zapatos", "zeep", "zegel", "zegellak",
    "zelená", "zelený", "zeszyt", "zielona", "zielone", "zielony", "zilver", "zlatá", "zlatý",
    "zubehör", "zustand", "zwart", "zwarte", "zápisník", "zöld", "złota", "złoto", "złoty",
    "écharpe", "écheveau", "éclair", "émaillé", "émaillée", "épais", "épaisse", "épaisses",
    "épaisseur", "étanche", "état", "étroit", "închis", "černá", "černý", "červená", "červený",
    "średni", "średnia", "średnie", "świeca", "šedá", "šedý", "šála", "żółta", "żółte", "żółty",
    "žlutá", "žlutý", "άσπρο", "ασημί", "βιβλίο", "γκρι", "κίτρινο", "καφέ", "κερί", "κόκκινο",
    "λευκό", "μέγεθοσ", "μαύρο", "μεγάλη", "μεγάλο", "μελάνι", "μεσαίο", "μικρό", "μπλε", "πένα",
    "πράσινο", "ροζ", "χαρτί", "χρυσό", "χρώμα", "альбом", "белая", "белый", "большая", "большой",
    "бумага", "голубой", "длинный", "желтая", "желтый", "зеленая", "зеленый", "золотой", "книга",
    "кольцо", "коричневый", "короткий", "красная", "красный", "кружка", "малая", "маленький",
    "малый", "оранжевый", "перо", "пластинка", "размер", "розовый", "ручка", "светлый", "свеча",
    "серая", "серебряный", "серый", "синий", "синяя", "средний", "средняя", "темный", "тетрадь",
    "тёмный", "фиолетовый", "цвет", "черная", "чернила", "черный",
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
            [
                "pen",
                "black",
                "tinte",
                "chemise",
                "gross",
                "grosse",
                "střední",
                "fein",
                "blatt",
                "épais",
                "dikke"
            ]
            .into_iter()
            .all(is_goods_word)
        );
        assert!(
            !["heron", "marlow", "avocet", "reiher", "loutre", "vuurtoren"]
                .into_iter()
                .any(is_goods_word)
        );
    }
}
