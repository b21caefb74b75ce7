package remind

import (
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"shimwright/bot/store"
)

func TestChange(t *testing.T) {
	at := time.Date(2026, 3, 2, 12, 0, 0, 0, time.UTC)
	stays, goes, comes := Row{"a/1", at}, Row{"a/2", at}, Row{"a/2", at.Add(time.Hour)}
	var queue []store.Item
	for _, r := range []Row{stays, goes} {
		it, err := r.Item("job-000001")
		if err != nil {
			t.Fatal(err)
		}
		queue = append(queue, it)
	}
	queue = append(queue, store.Item{ID: "reply", Kind: "post"})
	rows := RowsOf(queue)
	put, cancel, after, err := rows.Change("job-000001", []Row{stays, comes, comes})
	if err != nil || len(put) != 1 {
		t.Fatalf("%d to queue, %v", len(put), err)
	}
	if got, err := Read(put[0]); err != nil || got.Key != comes.Key || !got.At.Equal(comes.At) || !put[0].Due.Equal(comes.At) {
		t.Errorf("queued: %+v %v", got, err)
	}
	if diff := cmp.Diff([]string{goes.ID("job-000001")}, cancel); diff != "" {
		t.Error("withdrawn:", diff)
	}
	if len(after) != 2 || !after[put[0].ID] || len(rows) != 2 {
		t.Errorf("rows: %v, after it %v", rows, after)
	}
	if stays.ID("job-000001") == stays.ID("job-000002") {
		t.Error("two jobs' rows have one id")
	}
}

func TestAnUnreadableRowIsAnError(t *testing.T) {
	for _, body := range []string{"", "{}", "x"} {
		if _, err := Read(store.Item{Body: []byte(body)}); err == nil {
			t.Errorf("%q is read", body)
		}
	}
}
