/* Copies of the database: which there are, one more, one to take away, one put back. */
#include <fcntl.h>
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "api.h"
#include "api_common.h"
#include "backup.h"
#include "db_people.h"
#include "door.h"
#include "gate.h"
#include "log.h"
#include "writer.h"

static cJSON *backup_json(const struct backup *backup)
{
    cJSON *tree = cJSON_CreateObject();

    cJSON_AddNumberToObject(tree, "id", (double)backup->at);
    cJSON_AddNumberToObject(tree, "at", (double)backup->at);
    cJSON_AddNumberToObject(tree, "bytes", (double)backup->bytes);
    cJSON_AddBoolToObject(tree, "sealed", backup->is_sealed);
    return tree;
}

void api_backups_list(struct app *app, struct db *db, const struct request *req,
                      struct reply *out)
{
    struct backup all[BACKUPS_MAX];
    size_t count = backup_list(app, all);
    cJSON *tree = cJSON_CreateObject();
    cJSON *list = cJSON_AddArrayToObject(tree, "backups");

    (void)db;
    (void)req;
    for (size_t i = 0; i < count; i++)
        cJSON_AddItemToArray(list, backup_json(&all[i]));
    cJSON_AddStringToObject(tree, "fault", app->backups->fault);
    api_send(out, 200, tree);
}

/* ---- one more ---- */

void api_backups_create(struct app *app, struct db *db, const struct request *req,
                        struct reply *out)
{
    struct backup made = {0}, all[BACKUPS_MAX];
    enum db_status status;
    size_t count;

    if (!gate_lets_key(req, out) || !api_takes_nothing(req, out))
        return;
    status = backup_make(app->backups, db, &made.at);
    if (!api_ok(out, status, "copy"))
        return;
    count = backup_list(app, all);
    for (size_t i = 0; i < count; i++)
        if (all[i].at == made.at)
            made = all[i];
    status = db_begin(db);
    if (status == DB_OK)
        status = api_journal(app, db, req, db_acting(db), "add", "backup", made.at,
                             NULL, backup_json(&made));
    if (status == DB_OK) {
        api_send(out, 201, backup_json(&made));
        status = writer_keep(app, db, req, out);
    }
    if (status == DB_OK)
        status = db_commit(db);
    if (status != DB_OK) {
        db_rollback(db);
        api_ok(out, status, "copy");
    }
}

/* ---- one to take away ---- */

struct file_stream {
    struct reply_stream stream; /* first */
    int fd;
};

static ptrdiff_t next_piece(struct reply_stream *stream, char *out, size_t size)
{
    return read(((struct file_stream *)stream)->fd, out, size);
}

static void close_file(struct reply_stream *stream)
{
    close(((struct file_stream *)stream)->fd);
    free(stream);
}

void api_backups_file(struct app *app, struct db *db, const struct request *req,
                      struct reply *out)
{
    struct file_stream *stream;
    char path[700];
    int fd;

    (void)db;
    if (!backup_path(app, req->id, path, sizeof path)) {
        api_ok(out, DB_NOT_FOUND, "copy");
        return;
    }
    fd = open(path, O_RDONLY | O_CLOEXEC | O_NOFOLLOW);
    stream = fd < 0 ? NULL : calloc(1, sizeof *stream);
    if (stream == NULL) {
        if (fd >= 0)
            close(fd);
        api_ok(out, DB_FAILED, "copy");
        return;
    }
    *stream = (struct file_stream){{next_piece, close_file}, fd};
    out->status = 200;
    out->content_type = "application/octet-stream";
    out->stream = &stream->stream;
    log_line(LOG_LEVEL_INFO, "backup", "a copy is taken away to %s", req->peer);
}

/* ---- one put back ---- */

struct restoring {
    bool is_dry_run;
    char passphrase[160];
    char path[640]; /* of the unpacked copy */
    struct db_check copy;
};

static bool read_wish(const struct request *req, struct restoring *out,
                      struct reply *reply)
{
    struct problem problem;
    struct form form;

    problem_init(&problem);
    form_open(&form, req, &problem);
    if (problem.count == 0) {
        form_flag(&form, "dry_run", FORM_REQUIRED, &out->is_dry_run);
        form_text(&form, "passphrase", FORM_OPTIONAL, out->passphrase,
                  sizeof out->passphrase);
    }
    form_close(&form);
    return !api_refused(reply, &problem);
}

static cJSON *restoring_json(const struct restoring *restoring,
                             const struct db_check *now, int64_t kept)
{
    cJSON *tree = cJSON_CreateObject();
    cJSON *copy = cJSON_AddObjectToObject(tree, "copy");
    cJSON *here = cJSON_AddObjectToObject(tree, "here");

    cJSON_AddBoolToObject(tree, "dry_run", restoring->is_dry_run);
    cJSON_AddNumberToObject(copy, "facts", (double)restoring->copy.fact_count);
    cJSON_AddNumberToObject(copy, "journal", (double)restoring->copy.journal_count);
    cJSON_AddStringToObject(copy, "head", restoring->copy.head);
    cJSON_AddNumberToObject(here, "facts", (double)now->fact_count);
    cJSON_AddNumberToObject(here, "journal", (double)now->journal_count);
    cJSON_AddStringToObject(here, "head", now->head);
    api_add_id_or_null(tree, "kept_as", kept);
    return tree;
}

/* What was there before is kept as a copy of its own first. */
static enum db_status put_back(struct app *app, struct db *db,
                               const struct request *req,
                               const struct restoring *restoring, int64_t *out_kept)
{
    enum db_status status = backup_make(app->backups, db, out_kept);

    if (status == DB_OK)
        status = db_restore(db, restoring->path);
    if (status == DB_OK)
        status = db_begin(db);
    if (status == DB_OK)
        status = api_journal(app, db, req, 0, "restore", "backup", req->id, NULL, NULL);
    if (status == DB_OK)
        status = db_commit(db);
    if (status == DB_OK && !door_reload(app->door, db))
        status = DB_FAILED;
    return status;
}

static void restore(struct app *app, struct db *db, const struct request *req,
                    struct restoring *restoring, struct reply *out)
{
    struct db_check now;
    int64_t kept = 0;
    enum db_status status = db_check(db, &now);

    if (status == DB_OK && !restoring->is_dry_run) {
        status = put_back(app, db, req, restoring, &kept);
        log_line(LOG_LEVEL_WARNING, "backup", "a copy was put back from %s", req->peer);
    }
    if (api_ok(out, status, "copy"))
        api_send(out, 200, restoring_json(restoring, &now, kept));
}

void api_backups_restore(struct app *app, struct db *db, const struct request *req,
                         struct reply *out)
{
    struct restoring restoring = {0};
    char file[700];
    enum restore_status status;

    if (!read_wish(req, &restoring, out))
        return;
    if (!backup_path(app, req->id, file, sizeof file)) {
        api_ok(out, DB_NOT_FOUND, "copy");
        return;
    }
    status = backup_prepare(app->state_dir, file, restoring.passphrase, restoring.path,
                            sizeof restoring.path, &restoring.copy);
    if (status == RESTORE_OK) {
        restore(app, db, req, &restoring, out);
        backup_discard(app->state_dir);
    } else if (status == RESTORE_SEALED) {
        reply_refuse(out, 422, "copy_sealed", "passphrase", "%s",
                     backup_restore_words(status));
    } else {
        reply_refuse(out, 422, "copy_unsound", NULL, "%s",
                     backup_restore_words(status));
    }
}
