//! The table of the usual words in the first rows of exports, in several languages.
//!
//! In: nothing. Out: what words a column speaks of, and the fields that the others name. Not here: how a name
//! is taken apart and looked up (`words`). It is one table, which is why it is long.

/// What a column speaks of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum About {
    /// Who pays: never a field of an order.
    Payer,
    /// Where it goes.
    Recipient,
    /// Who bought it; what is said of the recipient goes before.
    Buyer,
    /// The article of the row.
    Item,
    /// All of what was bought.
    Order,
    /// The packed parcel.
    Parcel,
}

/// Words that tell what a column speaks of, without accents.
pub(super) const ABOUT: &[(About, &str)] = &[
    (
        About::Payer,
        "billing bill payment payer rechnung rechnungs rechnungsadresse zahlung facturation \
         facturacion fatturazione factuur betaling fakturering faktura",
    ),
    (
        About::Recipient,
        "shipping ship shipment delivery deliver recipient to lieferung lieferadresse empfanger empfangers \
         versand livraison expedition destinataire envio entrega destinatario spedizione consegna verzending \
         verzend levering bezorging ontvanger leverans mottagare leveranse mottaker wysylka dostawa \
         odbiorca",
    ),
    (
        About::Buyer,
        "buyer customer kaufer kaufers kunde kunden client acheteur cliente comprador acquirente klant koper \
         kund klient",
    ),
    (
        About::Item,
        "item items lineitem product article line artikel produkt position artikels produit \
         ligne articulo producto linea articolo prodotto riga produto artigo vare varer produktet \
         produkty towar pozycja",
    ),
    (
        About::Order,
        "order orders bestellung bestell auftrag auftrags commande pedido ordine bestelling ordre \
         bestallning zamowienie zamowienia encomenda bestilling tilaus tilauksen objednavka objednavky \
         rendeles rendelesi megrendeles megrendelesi comanda comenzii",
    ),
    (About::Parcel, "parcel package paket colis paquete pacco pakket pakke paczka packed"),
];

/// Words for the sending itself, which nobody is called: alone, a column of such a name holds what it cost or
/// how it goes.
pub(super) const SENDING: &str = "shipping ship shipment delivery deliver lieferung versand livraison expedition envio entrega spedizione \
     consegna verzending verzend levering bezorging leverans leveranse wysylka dostawa";

/// Words of a field that another column often says better, such as a reference beside the order's number.
pub(super) const DOUBTFUL: &str =
    "reference|ref|referenz|id|date|datum|fecha|data|dato|paid at|created|created at";

/// Words for the first of a person's names, which stands before the others.
pub(super) const GIVEN: &str =
    "vorname|first name|firstname|given name|forename|prenom|voornaam|fornamn|fornavn|imie";

/// Words for what stands between a person's names.
pub(super) const BETWEEN: &str =
    "middle name|middlename|tussenvoegsel|tussenvoegsels|voorvoegsel|zweiter vorname";

/// Words for the last of a person's names.
pub(super) const FAMILY: &str = "nachname|last name|lastname|surname|family name|familienname|nom de famille|nom famille|apellido|\
     apellidos|cognome|sobrenome|achternaam|familienaam|efternamn|etternavn|efternavn|nazwisko";

/// Words for what only adds to an address.
pub(super) const ADDITIONS: &str = "street 2|address 2|address 3|address line 2|address line 3|address2|address3|house number|house no|apartment|\
     flat|unit|strasse 2|hausnummer|hausnr|adresse 2|adresszusatz|zusatz|complement|complement adresse|\
     direccion 2|indirizzo 2|huisnummer|toevoeging|adres 2|adress 2";

/// Words that say nothing by themselves.
pub(super) const FILLERS: &str =
    "a d de du l la le les des del di da der die das the of het van den en for per my";

/// Words between a measure and its unit, as in `Gewicht in kg`.
pub(super) const IN: &[&str] = &["in", "en", "i", "w", "v", "em"];

/// A field, what its column must speak of (nothing: it speaks of nothing in particular), and what
/// it is then called, without accents; `-` is a column whose other words were all it says.
pub(super) type WordRow = (&'static str, &'static [Option<About>], &'static str);

/// Of nothing in particular, or of the recipient.
const PLACE: &[Option<About>] = &[None, Some(About::Recipient)];
/// Of nothing in particular, or of an item.
const THING: &[Option<About>] = &[None, Some(About::Item)];
/// Of nothing in particular, or of the order.
const ORDER: &[Option<About>] = &[None, Some(About::Order)];
/// Of nothing in particular, or of the parcel.
const PARCEL: &[Option<About>] = &[None, Some(About::Parcel), Some(About::Recipient)];

/// The table; words of one meaning are parted by `|`.
pub(super) const ROWS: &[WordRow] = &[
    (
        "id",
        &[Some(About::Order)],
        "-|id|number|no|nr|nummer|numero|num|n|reference|ref|numer|numar|numarul|cislo|szam|szama|kod|\
         code|codigo|codice|referencia|riferimento|referens|referanse|viite",
    ),
    (
        "id",
        &[None],
        "order id|order number|order no|id|bestellnummer|bestellnr|bestell nr|auftragsnummer|\
         auftragsnr|bestelnummer|ordernummer|ordrenummer|reference|referenz|ordernumber|orderid|\
         bestellungsnummer|bestellung nr|bestillingsnummer|bestallningsnummer|ordernr|ordrenr|bestelnr|\
         tilausnumero|tilausnro|rendelesszam|rendelesi szam|megrendeles szama|order ref|order reference",
    ),
    ("tag", &[None], "tag|hand tag|short name|kurzname"),
    (
        "placed",
        ORDER,
        "date|placed|created|created at|placed at|placed on|ordered|ordered at|datum|\
         bestelldatum|auftragsdatum|fecha|data|dato|besteldatum|orderdatum|date commande|paid at|\
         bestellt am|bestellzeitpunkt|kaufdatum|date achat|fecha compra|data acquisto|data compra|\
         ordredato|bestillingsdato|bestallningsdatum|tilauspaiva|tilauspvm|paivamaara|paivays|pvm|\
         data zlozenia|data zakupu|datum objednavky|datum|rendeles datuma|datuma|data comenzii|\
         purchase date|sale date|verkaufsdatum",
    ),
    (
        "ship_to.name",
        PLACE,
        "-|name|full name|vorname|nachname|first name|last name|firstname|lastname|surname|\
         forename|middle name|middlename|tussenvoegsel|tussenvoegsels|voorvoegsel|zweiter vorname|\
         nom famille|nom de famille|familienaam|family name|given name|nom|prenom|nom complet|nombre|apellido|apellidos|nome|cognome|\
         sobrenome|naam|voornaam|achternaam|fornamn|efternamn|fornavn|etternavn|efternavn|namn|\
         navn|imie|nazwisko|imie i nazwisko|nachname vorname|familienname|empfangername",
    ),
    (
        "ship_to.company",
        PLACE,
        "company|company name|organisation|organization|business|firma|firmenname|unternehmen|\
         societe|entreprise|empresa|azienda|societa|bedrijf|bedrijfsnaam|foretag|virksomhed|firm",
    ),
    (
        "ship_to.lines",
        PLACE,
        "street|street 1|street 2|street address|address|address 1|address 2|address 3|\
         lieferadresse|lieferanschrift|versandadresse|\
         empfangeradresse|anschrift|address line 1|address line 2|address line 3|address1|address2|address3|house number|\
         house no|apartment|flat|unit|strasse|strasse 1|strasse 2|strasse hausnummer|\
         strasse und hausnummer|hausnummer|hausnr|adresse|adresse 1|adresse 2|adresszusatz|zusatz|\
         lieferstrasse|rue|complement|complement adresse|calle|direccion|direccion 1|direccion 2|\
         numero calle|via|indirizzo|indirizzo 1|indirizzo 2|endereco|straat|straatnaam|huisnummer|\
         adres|adres 1|adres 2|toevoeging|huisnummer toevoeging|gata|gatuadress|adress|adress 1|adress 2|gade|vej|ulica|ulica i numer",
    ),
    (
        "ship_to.city",
        PLACE,
        "city|town|city town|stadt|ort|wohnort|lieferort|ville|commune|ciudad|poblacion|localidad|\
         citta|comune|cidade|plaats|woonplaats|stad|by|poststed|miasto|miejscowosc|mesto",
    ),
    (
        "ship_to.region",
        PLACE,
        "state|region|province|county|state province|province state|state region|bundesland|kanton|\
         departement|provincia|estado|regione|provincie|lan|fylke|wojewodztwo",
    ),
    (
        "ship_to.postcode",
        PLACE,
        "postcode|post code|zip|zip code|zipcode|postal code|postalcode|zip postal code|plz|\
         postleitzahl|lieferplz|code postal|cp|codigo postal|cap|cep|postcode zip|postnummer|\
         postnr|kod pocztowy|psc|iranyitoszam",
    ),
    (
        "ship_to.country",
        PLACE,
        "country|country code|land|landercode|landcode|lieferland|pays|code pays|pais|paese|nazione|\
         kraj|zeme|orszag|maa",
    ),
    (
        "ship_to.phone",
        PLACE,
        "phone|phone number|telephone|tel|mobile|telefon|telefonnummer|handy|mobil|mobiltelefon|\
         telephone portable|telefono|movil|cellulare|telefone|telemovel|telefoon|telefoonnummer",
    ),
    ("items.sku", &[Some(About::Item)], "sku|number|no|nr|nummer|id|code|reference|ref|numero"),
    (
        "items.sku",
        &[None],
        "sku|artikelnummer|artikelnr|artikel nr|art nr|artnr|art no|produktnummer|varenummer|stock number|\
         stock keeping number|article number",
    ),
    (
        "items.gtin",
        THING,
        "gtin|ean|ean 13|ean13|upc|isbn|barcode|strichcode|code barres|codigo barras",
    ),
    (
        "items.title",
        &[Some(About::Item)],
        "-|name|title|description|titel|bezeichnung|beschreibung|nom|titre|designation|nombre|\
         titulo|descripcion|nome|titolo|descrizione|naam|omschrijving|namn|navn|nazwa",
    ),
    (
        "items.title",
        &[None],
        "artikelname|artikelbezeichnung|produktname|bezeichnung|title|titel|titre|titolo|titulo|\
         productnaam|artikelnaam|produktnamn|nazwa produktu|description",
    ),
    (
        "items.qty",
        THING,
        "quantity|qty|amount ordered|count|pieces|pcs|menge|anzahl|stuck|stuckzahl|quantite|qte|\
         cantidad|quantita|quantidade|aantal|antal|antall|ilosc|pocet|mennyiseg",
    ),
    (
        "items.price",
        THING,
        "price|unit price|price each|price per unit|single price|preis|einzelpreis|stuckpreis|preis pro stuck|\
         prix|prix unitaire|pu|precio|precio unitario|precio unidad|prezzo|prezzo unitario|preco|\
         preco unitario|prijs|stukprijs|prijs per stuk|prijs stuk|eenheidsprijs|pris|styckpris|a pris|stykpris|\
         stykkpris|enhedspris|enhetspris|pris per stk|hinta|yksikkohinta|kappalehinta|cena|cena jednostkowa|\
         jednotkova cena|cena za kus|ar|egysegar|darabar|pret|pret unitar",
    ),
    (
        "items.shelf",
        THING,
        "shelf|shelf mark|bin|bin location|location|stock location|lagerplatz|lagerort|fach|regal|\
         regalplatz|emplacement|etagere|rayon|ubicacion|estante|estanteria|scaffale|ubicazione|\
         prateleira|localizacao|magazijnlocatie|plank|schap|locatie|hylde|lagerplads|hylla|\
         hyllplats|lagerplats|hylle|hylleplass|lagerplass|hylly|hyllypaikka|varastopaikka|polka|\
         lokalizacja|police|umisteni|polc|raktarhely|raft|locatie raft",
    ),
    // A weight that says of nothing what it is of is an item's: taken for the parcel's, it would pass
    // for what the scale says.
    (
        "items.weight_g",
        THING,
        "weight|gewicht|poids|peso|vikt|vekt|vaegt|waga|paino|hmotnost|vaha|suly|tomeg|greutate|\
         weight each|unit weight|net weight|single weight|artikelgewicht|einzelgewicht|stuckgewicht|\
         nettogewicht|produktgewicht|poids unitaire|poids net|peso unitario|peso neto|peso netto|\
         peso liquido|stukgewicht|artikelvikt|styckvikt|varevekt|nettovekt|nettovaegt|\
         waga jednostkowa|waga netto|yksikkopaino|kappalepaino|egysegsuly|greutate unitara",
    ),
    (
        "items.hs",
        THING,
        "hs|hs code|hs number|hs tariff number|tariff|tariff code|tariff number|commodity code|\
         zolltarifnummer|warennummer|code sh|codigo arancelario|taric|customs code",
    ),
    (
        "items.origin",
        THING,
        "origin|country origin|origin country|made in|ursprung|ursprungsland|herkunftsland|\
         pays origine|origine|pais origen|origen|paese origine|land herkomst",
    ),
    (
        "shipping",
        &[Some(About::Recipient)],
        "cost|costs|price|charge|charges|fee|amount|total|kosten|preis|gebuhr|frais|cout|prix|gastos|coste|costo|\
         costi|spese|prezzo|prijs|pris|pris totalt|koszt|custo|portes",
    ),
    (
        "shipping",
        ORDER,
        "postage|porto|shipping cost|shipping costs|shipping price|shipping charge|shipping fee|\
         delivery cost|delivery price|versandkosten|frais de port|frais d envoi|gastos de envio|\
         spese di spedizione|verzendkosten|portes|fragtpris|fraktkostnad|koszt wysylki|koszt dostawy",
    ),
    (
        "discount",
        ORDER,
        "discount|discount amount|discounts|rabatt|rabat|nachlass|remise|reduction|descuento|sconto|\
         korting|desconto",
    ),
    (
        "tax.amount",
        ORDER,
        "tax|taxes|tax amount|total tax|sales tax|vat|vat amount|mwst|mehrwertsteuer|ust|tva|iva|btw|moms",
    ),
    (
        "paid",
        ORDER,
        "paid|amount paid|total paid|grand total|gesamtbetrag|gesamtsumme|bestellsumme|auftragssumme|total ttc|\
         importe total|totale ordine|totaalbedrag|kwota zaplacona",
    ),
    (
        "paid",
        &[Some(About::Order)],
        "total|totale|total amount|gesamt|summe|betrag|totaal|bedrag|montant",
    ),
    ("currency", ORDER, "currency|currency code|wahrung|devise|moneda|valuta|moeda|waluta|mena"),
    (
        "parcel.pack",
        PARCEL,
        "pack|packaging|box|verpackung|emballage|embalaje|imballaggio|verpakking",
    ),
    (
        "parcel.weight_g",
        &[Some(About::Parcel), Some(About::Recipient), Some(About::Order)],
        "weight|gewicht|poids|peso|vikt|vekt|vaegt|waga|paino|hmotnost|vaha|suly|tomeg|greutate",
    ),
    (
        "parcel.weight_g",
        &[None, Some(About::Parcel), Some(About::Recipient), Some(About::Order)],
        "total weight|gross weight|gesamtgewicht|paketgewicht|versandgewicht|bruttogewicht|\
         sendungsgewicht|poids total|poids brut|peso total|peso totale|peso bruto|peso lordo|\
         totaal gewicht|totaalgewicht|brutogewicht|pakketgewicht|samlet vaegt|pakkevaegt|totalvikt|\
         paketvikt|totalvekt|pakkevekt|kokonaispaino|paketin paino|waga calkowita|waga brutto|\
         celkova hmotnost|osszsuly|ossztomeg|greutate totala",
    ),
    (
        "parcel.size_mm",
        PARCEL,
        "size|dimensions|length|width|height|lange|breite|hohe|abmessungen|longueur|largeur|hauteur|\
         largo|ancho|alto|lunghezza|larghezza|altezza|lengte|breedte|hoogte|l|w|h",
    ),
    (
        "service",
        PARCEL,
        "service|method|shipping method|delivery method|shipping service|carrier service|\
         versandart|versandmethode|lieferart|mode|mode livraison|metodo|metodo envio|metodo spedizione|\
         verzendmethode|bezorgmethode|fraktsatt|sposob",
    ),
    ("extras", PARCEL, "extras|options|service options|zusatzleistungen|opties|opciones|opzioni"),
    (
        "tracking",
        PARCEL,
        "tracking|tracking number|tracking code|tracking no|tracking id|sendungsnummer|\
         trackingnummer|numero suivi|suivi|numero seguimiento|codice tracciamento",
    ),
    ("hazard", &[None, Some(About::Item)], "hazard|hazardous|dangerous goods|gefahrgut|dangereux"),
    ("gift", ORDER, "gift|is gift|geschenk|cadeau|regalo|presente|prezent|gava|gave"),
    (
        "message",
        &[None, Some(About::Order), Some(About::Recipient)],
        "message|gift message|gift note|note from buyer|buyer note|buyer message|grusskarte|\
         nachricht|grusstext|geschenknachricht|geschenktext|message cadeau|mensaje|messaggio|\
         bericht|meddelande|wiadomosc|note buyer|message buyer",
    ),
    (
        "note",
        ORDER,
        "note|notes|comment|comments|remark|remarks|shop note|private notes|internal note|notiz|notizen|\
         bemerkung|bemerkungen|anmerkung|anmerkungen|kommentar|kommentare|interne notiz|hinweis|\
         remarque|remarques|commentaire|commentaires|nota|notas|note interne|nota interna|\
         observaciones|comentario|comentarios|osservazioni|commento|commenti|observacoes|observacao|\
         opmerking|opmerkingen|notitie|notities|bemaerkning|bemaerkninger|noter|kommentarer|\
         anteckning|anteckningar|anmarkning|merknad|merknader|notat|notater|huomautus|huomautukset|\
         huomio|muistiinpano|kommentti|uwagi|notatka|notatki|komentarz|poznamka|poznamky|\
         megjegyzes|megjegyzesek|observatii|observatie|comentariu|comentarii",
    ),
];
