#include "app.h"

#include <stddef.h>

void app_changed(struct app *app)
{
    atomic_fetch_add(&app->changes, 1);
    if (app->on_change != NULL)
        app->on_change(app->on_change_context);
}
