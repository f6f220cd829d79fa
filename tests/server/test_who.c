/* Who may do what, as a truth table written by hand from the rights that were decided
 * (docs/decisions/011). */
#include <string.h>

#include "server/rights.h"
#include "server/who.h"
#include "tests/support/suite.h"

#define NOW 1764079500

static struct who caller(enum who_role role)
{
    return (struct who){.role = role,
                        .door = DOOR_CLAIMED,
                        .family_sees_permit = true,
                        .person_id = 7,
                        .actor_id = 70,
                        .proved_at = NOW - 1000};
}

static const struct {
    unsigned rights;
    enum who_verdict nobody, viewer, technician, owner, instrument;
} cells[] = {
    {MAY_ANYBODY, WHO_LET_IN, WHO_LET_IN, WHO_LET_IN, WHO_LET_IN, WHO_LET_IN},
    {MAY_FAMILY, WHO_LET_IN, WHO_LET_IN, WHO_LET_IN, WHO_LET_IN, WHO_FORBIDDEN},
    {MAY_VIEWER, WHO_LOG_IN, WHO_LET_IN, WHO_LET_IN, WHO_LET_IN, WHO_FORBIDDEN},
    {MAY_TECHNICIAN, WHO_LOG_IN, WHO_FORBIDDEN, WHO_LET_IN, WHO_LET_IN, WHO_FORBIDDEN},
    {MAY_OWNER, WHO_LOG_IN, WHO_FORBIDDEN, WHO_FORBIDDEN, WHO_LET_IN, WHO_FORBIDDEN},
    {MAY_OWNER_PROVED, WHO_LOG_IN, WHO_FORBIDDEN, WHO_FORBIDDEN, WHO_PROVE_AGAIN,
     WHO_FORBIDDEN},
    {MAY_READINGS, WHO_LOG_IN, WHO_FORBIDDEN, WHO_FORBIDDEN, WHO_FORBIDDEN, WHO_LET_IN},
    {MAY_STATUS, WHO_LOG_IN, WHO_FORBIDDEN, WHO_FORBIDDEN, WHO_FORBIDDEN,
     WHO_FORBIDDEN},
    {MAY_CLAIM, WHO_HIDDEN, WHO_HIDDEN, WHO_HIDDEN, WHO_HIDDEN, WHO_HIDDEN},
    {MAY_LOG_IN, WHO_LET_IN, WHO_LET_IN, WHO_LET_IN, WHO_LET_IN, WHO_LET_IN},
};

START_TEST(each_role_gets_what_its_row_says)
{
    struct who nobody = caller(WHO_NOBODY), viewer = caller(WHO_VIEWER);
    struct who technician = caller(WHO_TECHNICIAN), owner = caller(WHO_OWNER);
    struct who instrument = caller(WHO_INSTRUMENT);

    instrument.scope = SCOPE_READINGS;
    ck_assert_int_eq(who_may(&nobody, cells[_i].rights, NOW), cells[_i].nobody);
    ck_assert_int_eq(who_may(&viewer, cells[_i].rights, NOW), cells[_i].viewer);
    ck_assert_int_eq(who_may(&technician, cells[_i].rights, NOW), cells[_i].technician);
    ck_assert_int_eq(who_may(&owner, cells[_i].rights, NOW), cells[_i].owner);
    ck_assert_int_eq(who_may(&instrument, cells[_i].rights, NOW), cells[_i].instrument);
}
END_TEST

START_TEST(the_passphrase_counts_for_five_minutes)
{
    struct who owner = caller(WHO_OWNER);

    owner.proved_at = NOW - 300;
    ck_assert_int_eq(who_may(&owner, MAY_OWNER_PROVED, NOW), WHO_LET_IN);
    owner.proved_at = NOW - 301;
    ck_assert_int_eq(who_may(&owner, MAY_OWNER_PROVED, NOW), WHO_PROVE_AGAIN);
    owner.proved_at = NOW + 60; /* the clock went back */
    ck_assert_int_eq(who_may(&owner, MAY_OWNER_PROVED, NOW), WHO_PROVE_AGAIN);
}
END_TEST

START_TEST(the_door_decides_before_roles_do)
{
    struct who who = {.door = DOOR_OPEN};

    ck_assert_int_eq(who_may(&who, MAY_OWNER_PROVED, NOW), WHO_LET_IN);
    ck_assert_int_eq(who_may(&who, MAY_CLAIM, NOW), WHO_LET_IN);
    ck_assert_int_eq(who_may(&who, MAY_LOG_IN, NOW), WHO_HIDDEN);
    who.door = DOOR_UNCLAIMED;
    who.family_sees_permit = true;
    ck_assert_int_eq(who_may(&who, MAY_FAMILY, NOW), WHO_LOG_IN);
    ck_assert_int_eq(who_may(&who, MAY_VIEWER, NOW), WHO_LOG_IN);
    ck_assert_int_eq(who_may(&who, MAY_ANYBODY, NOW), WHO_LET_IN);
    ck_assert_int_eq(who_may(&who, MAY_CLAIM, NOW), WHO_LET_IN);
}
END_TEST

START_TEST(the_family_needs_the_owners_leave)
{
    struct who nobody = caller(WHO_NOBODY);

    nobody.family_sees_permit = false;
    ck_assert_int_eq(who_may(&nobody, MAY_FAMILY, NOW), WHO_LOG_IN);
    nobody.family_sees_permit = true;
    nobody.is_dead = true; /* an ended login is told so, not taken for the family */
    ck_assert_int_eq(who_may(&nobody, MAY_FAMILY, NOW), WHO_LOG_IN);
}
END_TEST

START_TEST(technicians_correct_their_own_for_a_day)
{
    struct who technician = caller(WHO_TECHNICIAN), owner = caller(WHO_OWNER);
    struct who viewer = caller(WHO_VIEWER), open = {.door = DOOR_OPEN};

    ck_assert(who_may_correct(&technician, 70, NOW - 86400, NOW));
    ck_assert(!who_may_correct(&technician, 70, NOW - 86401, NOW));
    ck_assert(!who_may_correct(&technician, 71, NOW, NOW));
    ck_assert(who_may_correct(&owner, 71, 0, NOW));
    ck_assert(!who_may_correct(&viewer, 70, NOW, NOW));
    ck_assert(who_may_correct(&open, 71, 0, NOW));
}
END_TEST

START_TEST(every_route_has_its_row)
{
    char fault[200] = "";
    static const struct route stranger = {
        "GET", "/api/v1/nobody-thought-of-it", 0, NULL, NULL, NULL};

    ck_assert_msg(rights_are_whole(fault, sizeof fault), "%s", fault);
    ck_assert_uint_eq(rights_of(&stranger), 0);
}
END_TEST

int main(void)
{
    TCase *tcase = tcase_create("who");

    tcase_add_loop_test(tcase, each_role_gets_what_its_row_says, 0,
                        (int)(sizeof cells / sizeof cells[0]));
    tcase_add_test(tcase, the_passphrase_counts_for_five_minutes);
    tcase_add_test(tcase, the_door_decides_before_roles_do);
    tcase_add_test(tcase, the_family_needs_the_owners_leave);
    tcase_add_test(tcase, technicians_correct_their_own_for_a_day);
    tcase_add_test(tcase, every_route_has_its_row);
    return suite_run("who", tcase);
}
