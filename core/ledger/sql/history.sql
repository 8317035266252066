-- Questions about the history of one pile: what was done to it, and which entries speak of it.

-- name: works_of_pile
-- One row is one thing that happened to a pile on a day, as current records give it: what it is,
-- a name, a text, a number whose meaning `happening` gives, and the entry.
with happenings as (
    select 'revision' as happening, schedule.issued_on as happened_on, schedule.revision as name,
           concat_ws(', ', schedule.status, schedule.row_status) as detail,
           null::double as amount, schedule.entry_no
    from schedule($as_of) as schedule
    where schedule.position_id = $position_id
    union all
    select 'run', run.run_on, run.run_no,
           concat_ws(', ', run.rig, run.why, run.stop_reason), run.toe_mm, run.entry_no
    from run($as_of) as run
    where run.pile_id = $pile_id
    union all
    select 'string', run.run_on, placed.run_no, '', count(*), max(placed.entry_no)
    from component_placed($as_of) as placed
    join run($as_of) as run on run.pile_id = placed.pile_id and run.run_no = placed.run_no
    where placed.pile_id = $pile_id
    group by run.run_on, placed.run_no
    union all
    select 'grout', coalesce(placement.placed_on, run.run_on), placement.run_no,
           string_agg(distinct placement.batch_id, ', ' order by placement.batch_id),
           count(distinct placement.lift_no), max(placement.entry_no)
    from grout_placement($as_of) as placement
    left join run($as_of) as run
      on run.pile_id = placement.pile_id and run.run_no = placement.run_no
    where placement.pile_id = $pile_id
    group by coalesce(placement.placed_on, run.run_on), placement.run_no
    union all
    select 'sample', specimen.taken_on, specimen.sample_group_id, '', count(*),
           max(specimen.entry_no)
    from grout_specimen($as_of) as specimen
    join sample_group_member($as_of) as member
      on member.sample_group_id = specimen.sample_group_id
    where member.pile_id = $pile_id
    group by specimen.taken_on, specimen.sample_group_id
    union all
    select 'strength', specimen.tested_on, specimen.sample_group_id,
           string_agg(distinct specimen.laboratory, ', ' order by specimen.laboratory),
           min(specimen.strength_mpa), max(specimen.entry_no)
    from grout_specimen($as_of) as specimen
    join sample_group_member($as_of) as member
      on member.sample_group_id = specimen.sample_group_id
    where member.pile_id = $pile_id and specimen.strength_mpa is not null
    group by specimen.tested_on, specimen.sample_group_id
    union all
    select 'survey', survey.surveyed_on, survey.survey_stage, survey.surveyor, null,
           survey.entry_no
    from survey($as_of) as survey
    where survey.pile_id = $pile_id
    union all
    select 'stage', stage_record.stage_on, stage_record.stage, stage_record.evidence, null,
           stage_record.entry_no
    from stage_record($as_of) as stage_record
    where stage_record.pile_id = $pile_id
    union all
    select 'sign-off', sign_off.signed_on, sign_off.person, concat_ws(': ', sign_off.role,
           nullif(sign_off.note, '')), null, sign_off.entry_no
    from sign_off($as_of) as sign_off
    where sign_off.subject = $pile_id
)
select happenings.happening, happenings.happened_on, happenings.name,
       coalesce(happenings.detail, '') as detail, happenings.amount::double as amount,
       happenings.entry_no
from happenings
order by happenings.happened_on desc nulls last, happenings.happening, happenings.name;

-- name: rows_about
-- One row is one entry that holds rows of this kind about $subject, with how many and how many of
-- them take their key away.
select written.entry_no, '{kind}' as kind, count(*) as rows,
       count(*) filter (where written.removed) as removed
from {kind} as written
where written.{subject} = $subject and written.entry_no <= $as_of
group by written.entry_no
order by written.entry_no;
