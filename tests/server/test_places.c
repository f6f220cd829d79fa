/* Expected coordinates are those of the lines themselves, worked out by hand. */
#include <stdlib.h>
#include <string.h>

#include "server/places.h"
#include "tests/support/suite.h"

static const struct {
    const char *line, *zone; /* no zone: refused */
    int64_t latitude_e6, longitude_e6;
} lines[] = {
    {"ES\t+4024-00341\tEurope/Madrid\tmost of Spain", "Europe/Madrid", 40400000,
     -3683333},
    {"US\t+404251-0740023\tAmerica/New_York\tEastern (most areas)", "America/New_York",
     40714167, -74006389},
    {"AQ\t-7750+16636\tAntarctica/McMurdo", "Antarctica/McMurdo", -77833333, 166600000},
    {"XX\t+9000+18000\tTop", "Top", 90000000, 180000000},
    {"XX\t+0000-00000\tNull", "Null", 0, 0},
    {"# comment\t+4024-00341\tEurope/Madrid", NULL, 0, 0},
    {"", NULL, 0, 0},
    {"ES", NULL, 0, 0},
    {"ES\t+4024-00341", NULL, 0, 0},
    {"ES\t+4024-00341\t", NULL, 0, 0},
    {"ES\t+4024\tEurope/Madrid", NULL, 0, 0},
    {"ES\t4024-00341\tEurope/Madrid", NULL, 0, 0},
    {"ES\t+402-00341\tEurope/Madrid", NULL, 0, 0},
    {"ES\t+4024-0341\tEurope/Madrid", NULL, 0, 0},
    {"ES\t+4024-00341+1\tEurope/Madrid", NULL, 0, 0},
    {"ES\t+4060-00341\tEurope/Madrid", NULL, 0, 0},
    {"ES\t+9124-00341\tEurope/Madrid", NULL, 0, 0},
    {"ES\t+40x4-00341\tEurope/Madrid", NULL, 0, 0},
    {"ES\t\t\t", NULL, 0, 0},
    {"ES\t+4024-00341\t"
     "Much/longer/than/any/zone/name/that/ever/was/in/the/table/0123456789",
     NULL, 0, 0},
};

START_TEST(places_parse_takes_the_table_s_lines_and_refuses_others)
{
    struct place place = {.zone = "untouched"};
    bool right = places_parse(lines[_i].line, &place);

    ck_assert_int_eq(right, lines[_i].zone != NULL);
    if (!right) {
        ck_assert_str_eq(place.zone, "untouched");
        return;
    }
    ck_assert_str_eq(place.zone, lines[_i].zone);
    ck_assert_int_eq(place.latitude_e6, lines[_i].latitude_e6);
    ck_assert_int_eq(place.longitude_e6, lines[_i].longitude_e6);
}
END_TEST

START_TEST(places_read_stops_where_there_is_no_more_room)
{
    char text[] = "# head\nES\t+4024-00341\tEurope/Madrid\r\nrubbish\n"
                  "DE\t+5230+01322\tEurope/Berlin";
    FILE *file = fmemopen(text, strlen(text), "r");
    struct place places[2] = {0};

    ck_assert_int_eq(places_read(file, places, 2), 2);
    ck_assert_str_eq(places[0].zone, "Europe/Madrid");
    ck_assert_str_eq(places[1].zone, "Europe/Berlin");
    rewind(file);
    ck_assert_int_eq(places_read(file, places, 1), 1);
    fclose(file);
}
END_TEST

START_TEST(a_system_without_zone_data_has_no_table)
{
    setenv("TZDIR", "/nonexistent", 1);
    ck_assert_ptr_null(places_open());
    unsetenv("TZDIR");
}
END_TEST

int main(void)
{
    TCase *tcase = tcase_create("places");

    tcase_add_loop_test(tcase, places_parse_takes_the_table_s_lines_and_refuses_others,
                        0, (int)(sizeof lines / sizeof lines[0]));
    tcase_add_test(tcase, places_read_stops_where_there_is_no_more_room);
    tcase_add_test(tcase, a_system_without_zone_data_has_no_table);
    return suite_run("places", tcase);
}
