-- Questions about the as-built survey.

-- name: surveys
-- One row is one standing survey of one pile at one stage, a pile's in the order of their days.
select
  survey.{column}, -- for each survey column
  survey.entry_no, survey.row_no, survey.sheet
from survey($as_of) as survey
order by counting_order(survey.pile_id), survey.pile_id, survey.surveyed_on, survey.survey_stage;
