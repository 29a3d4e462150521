"""Reading for the pages of this room: `own` a holder's next steps, `today` the home page, `record` one person."""
