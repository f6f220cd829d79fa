/*
 * Reading a JSON object as a form: every member by name, type and range, all faults
 * collected, members nobody asked for refused at the end.
 *
 *     struct form form;
 *     form_open(&form, req, &problem);          // parses; adds faults on failure
 *     form_integer(&form, "water", 1, INT64_MAX, FORM_REQUIRED, &water_id);
 *     …
 *     form_close(&form);                        // unknown members become faults
 *     if (problem.count) { reply_problem(out, &problem); return; }
 *
 * Each reader returns true when it stored a value; an optional absent (or null) member
 * leaves the output as it was and returns false without a fault.
 * Codes used: json_invalid (status 400), member_unknown, member_missing, wrong_type,
 * out_of_range, not_in_list, text_too_long, text_invalid.
 */
#ifndef FORM_H
#define FORM_H

#include <stdbool.h>
#include <stdint.h>

#include <cjson/cJSON.h>

#include "problem.h"

#define FORM_MEMBERS_MAX 64

enum form_need { FORM_OPTIONAL, FORM_REQUIRED };

struct form {
    cJSON *root; /* owned by the outermost form only */
    const cJSON *object;
    struct problem *problem;
    char prefix[64]; /* "values." for a nested form's fields; "" outermost */
    const char *asked[FORM_MEMBERS_MAX];
    size_t asked_count;
    bool owns_root;
};

void form_open(struct form *form, const struct request *req, struct problem *problem);
/* A nested object; false (with a fault when required or of a wrong type) when absent.
 */
bool form_nested(struct form *parent, const char *member, enum form_need need,
                 struct form *out_child);
void form_close(struct form *form);

bool form_integer(struct form *form, const char *member, int64_t low, int64_t high,
                  enum form_need need, int64_t *out_value);
/* A number as it is (finite); its range is the caller's to judge. */
bool form_number(struct form *form, const char *member, enum form_need need,
                 double *out_value);
/* A number kept as a scaled integer: value * 1e6, rounded to nearest. */
bool form_e6(struct form *form, const char *member, double low, double high,
             enum form_need need, int64_t *out_value_e6);
bool form_flag(struct form *form, const char *member, enum form_need need, bool *out);
/* Copies at most size - 1 bytes of UTF-8; longer is a fault; trims white space at the
 * ends; an empty text counts as absent. */
bool form_text(struct form *form, const char *member, enum form_need need, char *out,
               size_t size);
/* One of names (NULL-terminated); stores its index. */
bool form_choice(struct form *form, const char *member, const char *const *names,
                 enum form_need need, int *out_index);
/* The raw member for shapes of their own (arrays), marked as asked for; NULL if absent.
 */
const cJSON *form_member(struct form *form, const char *member);

#endif
