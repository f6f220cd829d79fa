#include "import_names.h"

#include <string.h>

#include "import_dates.h"

#define V(name, quantity)                                                              \
    {                                                                                  \
        name, IMPORT_VALUE, quantity                                                   \
    }
#define R(name, role)                                                                  \
    {                                                                                  \
        name, role, COIL_PH                                                            \
    }

/* Folded: small, without accents. Common practice, no source. "Hardness" alone is left
 * out: strips mean total hardness by it. */
static const struct import_name names[] = {
    V("ph", COIL_PH),
    V("p h", COIL_PH),

    V("free chlorine", COIL_FREE_CHLORINE),
    V("chlorine free", COIL_FREE_CHLORINE),
    V("free available chlorine", COIL_FREE_CHLORINE),
    V("chlorine", COIL_FREE_CHLORINE),
    V("fc", COIL_FREE_CHLORINE),
    V("fac", COIL_FREE_CHLORINE),
    V("free cl", COIL_FREE_CHLORINE),
    V("free cl2", COIL_FREE_CHLORINE),
    V("cl free", COIL_FREE_CHLORINE),
    V("cl", COIL_FREE_CHLORINE),
    V("cl2", COIL_FREE_CHLORINE),
    V("cl frei", COIL_FREE_CHLORINE),
    V("freies cl", COIL_FREE_CHLORINE),
    V("freies chlor", COIL_FREE_CHLORINE),
    V("chlor frei", COIL_FREE_CHLORINE),
    V("chlor", COIL_FREE_CHLORINE),
    V("cloro libre", COIL_FREE_CHLORINE),
    V("cl libre", COIL_FREE_CHLORINE),
    V("cloro", COIL_FREE_CHLORINE),

    V("combined chlorine", COIL_COMBINED_CHLORINE),
    V("chlorine combined", COIL_COMBINED_CHLORINE),
    V("combined cl", COIL_COMBINED_CHLORINE),
    V("combined cl2", COIL_COMBINED_CHLORINE),
    V("cc", COIL_COMBINED_CHLORINE),
    V("chloramine", COIL_COMBINED_CHLORINE),
    V("chloramines", COIL_COMBINED_CHLORINE),
    V("cl gebunden", COIL_COMBINED_CHLORINE),
    V("chlor gebunden", COIL_COMBINED_CHLORINE),
    V("gebundenes chlor", COIL_COMBINED_CHLORINE),
    V("cloro combinado", COIL_COMBINED_CHLORINE),
    V("cloraminas", COIL_COMBINED_CHLORINE),

    V("total chlorine", COIL_TOTAL_CHLORINE),
    V("chlorine total", COIL_TOTAL_CHLORINE),
    V("total cl", COIL_TOTAL_CHLORINE),
    V("total cl2", COIL_TOTAL_CHLORINE),
    V("tc", COIL_TOTAL_CHLORINE),
    V("gesamtchlor", COIL_TOTAL_CHLORINE),
    V("chlor gesamt", COIL_TOTAL_CHLORINE),
    V("cl gesamt", COIL_TOTAL_CHLORINE),
    V("cloro total", COIL_TOTAL_CHLORINE),

    V("bromine", COIL_BROMINE),
    V("total bromine", COIL_BROMINE),
    V("br", COIL_BROMINE),
    V("br2", COIL_BROMINE),
    V("brom", COIL_BROMINE),
    V("bromo", COIL_BROMINE),

    V("total alkalinity", COIL_TOTAL_ALKALINITY),
    V("alkalinity", COIL_TOTAL_ALKALINITY),
    V("ta", COIL_TOTAL_ALKALINITY),
    V("alk", COIL_TOTAL_ALKALINITY),
    V("total alk", COIL_TOTAL_ALKALINITY),
    V("alkalinitat", COIL_TOTAL_ALKALINITY),
    V("gesamtalkalinitat", COIL_TOTAL_ALKALINITY),
    V("karbonatharte", COIL_TOTAL_ALKALINITY),
    V("carbonate hardness", COIL_TOTAL_ALKALINITY),
    V("kh", COIL_TOTAL_ALKALINITY),
    V("saurekapazitat", COIL_TOTAL_ALKALINITY),
    V("alcalinidad", COIL_TOTAL_ALKALINITY),
    V("alcalinidad total", COIL_TOTAL_ALKALINITY),

    V("calcium hardness", COIL_CALCIUM_HARDNESS),
    V("hardness calcium", COIL_CALCIUM_HARDNESS),
    V("ca hardness", COIL_CALCIUM_HARDNESS),
    V("calcium", COIL_CALCIUM_HARDNESS),
    V("ch", COIL_CALCIUM_HARDNESS),
    V("calciumharte", COIL_CALCIUM_HARDNESS),
    V("kalziumharte", COIL_CALCIUM_HARDNESS),
    V("kalkharte", COIL_CALCIUM_HARDNESS),
    V("dureza calcica", COIL_CALCIUM_HARDNESS),
    V("dureza de calcio", COIL_CALCIUM_HARDNESS),

    V("cyanuric acid", COIL_CYANURIC_ACID),
    V("cya", COIL_CYANURIC_ACID),
    V("stabiliser", COIL_CYANURIC_ACID),
    V("stabilizer", COIL_CYANURIC_ACID),
    V("cyanursaure", COIL_CYANURIC_ACID),
    V("cys", COIL_CYANURIC_ACID),
    V("stabilisator", COIL_CYANURIC_ACID),
    V("acido cianurico", COIL_CYANURIC_ACID),
    V("estabilizador", COIL_CYANURIC_ACID),
    V("estabilizante", COIL_CYANURIC_ACID),

    V("borate", COIL_BORATE),
    V("borates", COIL_BORATE),
    V("boron", COIL_BORATE),
    V("borat", COIL_BORATE),
    V("boratos", COIL_BORATE),

    V("salt", COIL_SALT),
    V("nacl", COIL_SALT),
    V("salinity", COIL_SALT),
    V("salz", COIL_SALT),
    V("salzgehalt", COIL_SALT),
    V("sal", COIL_SALT),
    V("salinidad", COIL_SALT),

    V("tds", COIL_TDS),
    V("total dissolved solids", COIL_TDS),
    V("dissolved solids", COIL_TDS),
    V("solidos disueltos", COIL_TDS),

    V("copper", COIL_COPPER),
    V("cu", COIL_COPPER),
    V("kupfer", COIL_COPPER),
    V("cobre", COIL_COPPER),

    V("iron", COIL_IRON),
    V("fe", COIL_IRON),
    V("eisen", COIL_IRON),
    V("hierro", COIL_IRON),

    V("sulfate", COIL_SULFATE),
    V("sulphate", COIL_SULFATE),
    V("so4", COIL_SULFATE),
    V("sulfat", COIL_SULFATE),
    V("sulfato", COIL_SULFATE),

    V("phosphate", COIL_PHOSPHATE),
    V("phosphates", COIL_PHOSPHATE),
    V("po4", COIL_PHOSPHATE),
    V("phosphat", COIL_PHOSPHATE),
    V("fosfato", COIL_PHOSPHATE),
    V("fosfatos", COIL_PHOSPHATE),

    V("water temperature", COIL_WATER_TEMP),
    V("water temp", COIL_WATER_TEMP),
    V("temperature", COIL_WATER_TEMP),
    V("temp", COIL_WATER_TEMP),
    V("wassertemperatur", COIL_WATER_TEMP),
    V("wassertemp", COIL_WATER_TEMP),
    V("temperatur", COIL_WATER_TEMP),
    V("temperatura", COIL_WATER_TEMP),
    V("temperatura del agua", COIL_WATER_TEMP),
    V("temperatura agua", COIL_WATER_TEMP),

    V("orp", COIL_ORP),
    V("redox", COIL_ORP),
    V("redox potential", COIL_ORP),
    V("redoxpotential", COIL_ORP),
    V("rx", COIL_ORP),
    V("potencial redox", COIL_ORP),

    V("magnesium", COIL_MAGNESIUM),
    V("mg", COIL_MAGNESIUM),
    V("magnesio", COIL_MAGNESIUM),

    R("date", IMPORT_DATE),
    R("day", IMPORT_DATE),
    R("date time", IMPORT_DATE),
    R("date/time", IMPORT_DATE),
    R("date & time", IMPORT_DATE),
    R("date and time", IMPORT_DATE),
    R("datetime", IMPORT_DATE),
    R("date utc", IMPORT_DATE),
    R("datetime utc", IMPORT_DATE),
    R("date tested", IMPORT_DATE),
    R("test date", IMPORT_DATE),
    R("sample date", IMPORT_DATE),
    R("measured at", IMPORT_DATE),
    R("when", IMPORT_DATE),
    R("datum", IMPORT_DATE),
    R("tag", IMPORT_DATE),
    R("datum uhrzeit", IMPORT_DATE),
    R("datum/uhrzeit", IMPORT_DATE),
    R("datum/zeit", IMPORT_DATE),
    R("datum zeit", IMPORT_DATE),
    R("datum und uhrzeit", IMPORT_DATE),
    R("zeitpunkt", IMPORT_DATE),
    R("messzeitpunkt", IMPORT_DATE),
    R("fecha", IMPORT_DATE),
    R("dia", IMPORT_DATE),
    R("fecha hora", IMPORT_DATE),
    R("fecha/hora", IMPORT_DATE),
    R("fecha y hora", IMPORT_DATE),

    R("time", IMPORT_TIME),
    R("time utc", IMPORT_TIME),
    R("time of day", IMPORT_TIME),
    R("clock", IMPORT_TIME),
    R("uhrzeit", IMPORT_TIME),
    R("zeit", IMPORT_TIME),
    R("hora", IMPORT_TIME),

    R("value details", IMPORT_DETAILS),

    R("timestamp", IMPORT_INSTANT),
    R("timestamp utc", IMPORT_INSTANT),
    R("time stamp", IMPORT_INSTANT),
    R("zeitstempel", IMPORT_INSTANT),
    R("marca de tiempo", IMPORT_INSTANT),
    R("epoch", IMPORT_INSTANT),
    R("unix", IMPORT_INSTANT),
    R("unix time", IMPORT_INSTANT),
    R("unixtime", IMPORT_INSTANT),
    R("at", IMPORT_INSTANT),
    R("time s", IMPORT_INSTANT),

    R("method", IMPORT_METHOD),
    R("test method", IMPORT_METHOD),
    R("kit", IMPORT_METHOD),
    R("methode", IMPORT_METHOD),
    R("messmethode", IMPORT_METHOD),
    R("metodo", IMPORT_METHOD),

    R("by", IMPORT_BY),
    R("tester", IMPORT_BY),
    R("tested by", IMPORT_BY),
    R("taken by", IMPORT_BY),
    R("who", IMPORT_BY),
    R("person", IMPORT_BY),
    R("technician", IMPORT_BY),
    R("operator", IMPORT_BY),
    R("von", IMPORT_BY),
    R("prufer", IMPORT_BY),
    R("gemessen von", IMPORT_BY),
    R("por", IMPORT_BY),
    R("persona", IMPORT_BY),
    R("tecnico", IMPORT_BY),

    R("note", IMPORT_NOTE),
    R("notes", IMPORT_NOTE),
    R("comment", IMPORT_NOTE),
    R("comments", IMPORT_NOTE),
    R("remark", IMPORT_NOTE),
    R("remarks", IMPORT_NOTE),
    R("bemerkung", IMPORT_NOTE),
    R("bemerkungen", IMPORT_NOTE),
    R("kommentar", IMPORT_NOTE),
    R("notiz", IMPORT_NOTE),
    R("notizen", IMPORT_NOTE),
    R("nota", IMPORT_NOTE),
    R("notas", IMPORT_NOTE),
    R("comentario", IMPORT_NOTE),
    R("comentarios", IMPORT_NOTE),
    R("observaciones", IMPORT_NOTE),
};

static const struct import_name keys[COIL_QUANTITY_COUNT] = {
#define X(name, number, key, words, unit, plo, phi, lo, hi)                            \
    [number] = {key, IMPORT_VALUE, name},
    COIL_QUANTITY_LIST(X)
#undef X
};

static const struct {
    const char *name;
    enum coil_method method;
} methods[] = {
    {"unknown", COIL_METHOD_UNKNOWN},
    {"strip", COIL_METHOD_STRIP},
    {"strips", COIL_METHOD_STRIP},
    {"test strip", COIL_METHOD_STRIP},
    {"test strips", COIL_METHOD_STRIP},
    {"teststreifen", COIL_METHOD_STRIP},
    {"streifen", COIL_METHOD_STRIP},
    {"tira", COIL_METHOD_STRIP},
    {"tiras", COIL_METHOD_STRIP},
    {"drop_count", COIL_METHOD_DROP_COUNT},
    {"drop count", COIL_METHOD_DROP_COUNT},
    {"drop test", COIL_METHOD_DROP_COUNT},
    {"drops", COIL_METHOD_DROP_COUNT},
    {"titration", COIL_METHOD_DROP_COUNT},
    {"tropfen", COIL_METHOD_DROP_COUNT},
    {"tropfentest", COIL_METHOD_DROP_COUNT},
    {"gotas", COIL_METHOD_DROP_COUNT},
    {"comparator", COIL_METHOD_COMPARATOR},
    {"colour comparator", COIL_METHOD_COMPARATOR},
    {"color comparator", COIL_METHOD_COMPARATOR},
    {"farbvergleich", COIL_METHOD_COMPARATOR},
    {"comparador", COIL_METHOD_COMPARATOR},
    {"photometer", COIL_METHOD_PHOTOMETER},
    {"photometric", COIL_METHOD_PHOTOMETER},
    {"colorimeter", COIL_METHOD_PHOTOMETER},
    {"fotometro", COIL_METHOD_PHOTOMETER},
    {"probe", COIL_METHOD_PROBE},
    {"sensor", COIL_METHOD_PROBE},
    {"sonde", COIL_METHOD_PROBE},
    {"sonda", COIL_METHOD_PROBE},
    {"laboratory", COIL_METHOD_LABORATORY},
    {"lab", COIL_METHOD_LABORATORY},
    {"labor", COIL_METHOD_LABORATORY},
    {"laboratorio", COIL_METHOD_LABORATORY},
};

const struct import_name *import_name_find(const char *folded)
{
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++)
        if (strcmp(names[i].name, folded) == 0)
            return &names[i];
    return NULL;
}

const struct import_name *import_name_find_key(const char *folded)
{
    for (size_t i = 0; i < COIL_QUANTITY_COUNT; i++)
        if (strcmp(keys[i].name, folded) == 0)
            return &keys[i];
    return NULL;
}

bool import_method_find(const char *text, size_t length, enum coil_method *out_method)
{
    char folded[48];

    if (length >= sizeof folded - 2)
        return false;
    import_fold(text, length, folded, sizeof folded);
    for (size_t i = 0; i < sizeof methods / sizeof methods[0]; i++) {
        if (strcmp(methods[i].name, folded) == 0) {
            *out_method = methods[i].method;
            return true;
        }
    }
    return false;
}
