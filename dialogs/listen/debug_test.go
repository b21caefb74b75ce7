package listen
import ("testing";"os";"fmt";"shimwright/calc/unit")
func TestDebug(t *testing.T){ s:=os.Getenv("DBG"); if s==""{t.Skip("set DBG")}
 plain,_,_:=normalise(s)
 toks:=spellOut(mend(scan(plain)))
 items:=groupFigures(markFigures(tagTokens(toks),os.Getenv("DBGM")!="",os.Getenv("DBGM")==""))
 for _,c:=range splitClauses(items,Sender(os.Getenv("DBGS"))){ fmt.Printf("CLAUSE s%d mark=%q moods=%b hits=%v\n",c.sentence,c.mark,c.moods,c.hits); for _,it:=range c.items{ fmt.Printf("   %q kind=%d tags=%s unit=%d skip=%d",it.text,it.kind,tagsOf(it.tags),it.unit,it.skip); if it.group!=nil{fmt.Printf(" G%+v",*it.group)}; fmt.Println()}}
 _=unit.Metric
}
func tagsOf(s tagSet)string{o:="";for t:=tag(1);t<mSum+1;t++{if s.has(t){o+=fmt.Sprint(t)+","}};return o}
