-- What a new frame means against what stands. The frame is registered as `incoming`; rows that the
-- same command staged before, and will write, are in pending_{kind} and count as the last words.

-- name: pending
-- One row is one row that the command will write.
create or replace temp table pending_{kind} as
select
  written.{column}, -- for each column
  written.entry_no, written.row_no, '' as file, written.sheet, written.removed
from {kind} as written
limit 0;

-- name: word
-- One row is one live word on one key with the file and sheet that say it; '' is a form.
create or replace temp macro {kind}_word(as_of) as table
select
  written.{column}, -- for each column
  written.entry_no, written.row_no, source.file, written.sheet, written.removed
from {kind} as written
join source on source.source_no = written.source_no and source.kind = '{kind}'
where written.entry_no in (from live_entry(as_of))
union all by name
from pending_{kind};

-- name: own_word
-- One row is one file's last live word on one key of one of its sheets.
create or replace temp macro {kind}_own_word(as_of, of_file) as table
select word.*
from {kind}_word(as_of) as word
where word.file = of_file
qualify row_number() over (
    partition by
      word.{column}, -- for each key
      word.sheet
    order by word.entry_no desc, word.row_no desc
) = 1;

-- name: staged
-- One row is one incoming row with its status and the word that stands on its key.
with last_word as (
    select word.*
    from {kind}_word($as_of) as word
    semi join incoming on
      word.{column} = incoming.{column} and -- for each key
      true
    qualify row_number() over (
        partition by
          word.{column}, -- for each key
          true
        order by word.entry_no desc, word.row_no desc
    ) = 1
),
compared as (
    select
      incoming.incoming_no,
      own_word.entry_no is not null and not own_word.removed as has_own,
      (
        own_word.{column} is not distinct from incoming.{column} and -- for each value
        true
      ) as equals_own,
      last_word.entry_no is not null and not last_word.removed as something_stands,
      (
        last_word.{column} is not distinct from incoming.{column} and -- for each value
        true
      ) as equals_standing,
      last_word.file = own_word.file and last_word.sheet = own_word.sheet as own_stands,
      -- A word of the same command has no entry yet; who saw that one says 0.
      incoming.wins or coalesce(
        incoming.saw_entry_no
          = case when last_word.entry_no <= $as_of then last_word.entry_no else 0 end,
        false
      ) as was_seen
    from incoming
    left join {kind}_own_word($as_of, $file) as own_word on
      own_word.{column} = incoming.{column} and -- for each key
      own_word.sheet = incoming.sheet
    left join last_word on
      last_word.{column} = incoming.{column} and -- for each key
      true
)
select compared.incoming_no,
       case
           when compared.has_own and compared.equals_own then 'unchanged'
           when compared.has_own and compared.own_stands then 'superseded'
           when compared.something_stands and compared.equals_standing then 'corroborated'
           when not compared.has_own and not compared.something_stands then 'added'
           when $replace or compared.was_seen then 'superseded'
           else 'conflict'
       end as status
from compared
order by compared.incoming_no;

-- name: missing_keys
-- One row is one key that this file's earlier live word holds and the new frame does not.
select
  own_word.{column}, -- for each key
  own_word.sheet, own_word.entry_no, own_word.row_no
from {kind}_own_word($as_of, $file) as own_word
anti join incoming on
  own_word.{column} = incoming.{column} and -- for each key
  own_word.sheet = incoming.sheet
where not own_word.removed
  and own_word.sheet in (
    select incoming.sheet from incoming
    union all
    select '' where not exists (from incoming)
  )
order by
  own_word.{column}, -- for each key
  own_word.sheet;

-- name: words_met
-- One row is one incoming row in conflict with the last word that it meets.
select
  last_word.{column}, -- for each column
  incoming.incoming_no, last_word.entry_no, last_word.row_no, last_word.file, last_word.sheet,
  last_word.removed
from incoming
join {kind}_word($as_of) as last_word on
  last_word.{column} = incoming.{column} and -- for each key
  true
qualify row_number() over (
    partition by incoming.incoming_no
    order by last_word.entry_no desc, last_word.row_no desc
) = 1
order by incoming.incoming_no;

-- name: without_reference
-- One row is one incoming row whose {parent} neither stands nor comes in the same command.
with last_word as (
    select word.*
    from {parent}_word($as_of) as word
    qualify row_number() over (
        partition by
          word.{column}, -- for each key of the parent
          true
        order by word.entry_no desc, word.row_no desc
    ) = 1
),
standing as (select * from last_word where not last_word.removed)
select incoming.incoming_no
from incoming
anti join standing on
  standing.{column} = incoming.{own} and -- for each shared column
  true
order by incoming.incoming_no;

-- name: make_pending
-- Remembers the rows that the command will write.
insert into pending_{kind} by name
select
  written.{column}, -- for each column
  $entry_no as entry_no, written.row_no, $file as file, written.sheet, written.removed
from written;

-- name: drop_pending
-- Forgets them when their entry is written.
delete from pending_{kind} where pending_{kind}.file = $file;
