-- +goose Up
CREATE TABLE cases (
  id         TEXT PRIMARY KEY,
  created_us BIGINT NOT NULL,
  head       BIGINT NOT NULL,
  removed    BOOLEAN NOT NULL DEFAULT FALSE
);
CREATE TABLE revisions (
  case_id TEXT   NOT NULL REFERENCES cases(id),
  seq     BIGINT NOT NULL,
  parent  BIGINT NOT NULL,
  at_us   BIGINT NOT NULL,
  label   TEXT   NOT NULL,
  title   TEXT   NOT NULL,
  arch    BIGINT NOT NULL,
  class   TEXT   NOT NULL,
  words   TEXT   NOT NULL,
  doc     BLOB   NOT NULL,
  PRIMARY KEY (case_id, seq)
);
CREATE INDEX revisions_children ON revisions (case_id, parent, seq);
CREATE TABLE files (
  digest TEXT PRIMARY KEY,
  data   BLOB NOT NULL
);
CREATE TABLE attachments (
  case_id TEXT NOT NULL REFERENCES cases(id),
  name    TEXT NOT NULL,
  digest  TEXT NOT NULL REFERENCES files(digest),
  PRIMARY KEY (case_id, name)
);
CREATE TABLE issued (
  case_id TEXT   NOT NULL REFERENCES cases(id),
  number  BIGINT NOT NULL,
  seq     BIGINT NOT NULL,
  name    TEXT   NOT NULL,
  digest  TEXT   NOT NULL,
  at_us   BIGINT NOT NULL,
  by_whom TEXT   NOT NULL,
  data    BLOB   NOT NULL,
  PRIMARY KEY (case_id, number)
);
-- +goose StatementBegin
CREATE TRIGGER issued_stays BEFORE UPDATE ON issued
BEGIN SELECT RAISE(ABORT, 'issued papers are never changed'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER issued_kept BEFORE DELETE ON issued
BEGIN SELECT RAISE(ABORT, 'issued papers are never removed'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER revisions_stay BEFORE UPDATE ON revisions
BEGIN SELECT RAISE(ABORT, 'a revision is never changed'); END;
-- +goose StatementEnd

-- +goose Down
DROP TABLE issued;
DROP TABLE attachments;
DROP TABLE files;
DROP TABLE revisions;
DROP TABLE cases;
