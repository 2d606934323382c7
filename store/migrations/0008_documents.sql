-- A job's document stands in the newest whole document and the changes since: a save
-- then writes what was changed, and not the whole house again.

-- +goose Up
INSERT INTO snapshots (job, revision, document)
SELECT id, revision, document FROM jobs
WHERE NOT EXISTS (SELECT 1 FROM snapshots WHERE snapshots.job = jobs.id AND snapshots.revision = jobs.revision);
ALTER TABLE jobs DROP COLUMN document;
