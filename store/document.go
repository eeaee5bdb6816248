package store

import "context"

// Documents gives the documents beside the house as they stood at a revision, by name.
func (s *Store) Documents(ctx context.Context, rev Rev) (map[string]string, error) {
	texts := map[string]string{}
	err := s.read(ctx, func(t *txn) error {
		if err := t.known(rev); err != nil {
			return err
		}
		return t.versions(sqlDocuments, []any{rev}, func(v version) error {
			values, err := decodeEntities([]entityText{{v.kind, v.id, v.data}})
			if err == nil {
				texts[v.id] = values[0].(string)
			}
			return err
		})
	})
	return texts, err
}

const sqlDocuments = sqlVersion + "WHERE kind = '" + KindDocument + "' AND since <= ?1 AND (until IS NULL OR until > ?1)"
