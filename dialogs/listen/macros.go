package listen

// macros are words of one meaning that many triggers share; @name in a trigger
// stands for any of them. "mentor" and the like in boss are roles and no names.
var macros = map[string]string{
	"loosen":  `back* off | backed | backing | back the | back it | loosen* | slack* | slacken* | eased | ease | undid | undo | undoing | unscrew* | unwound | unwind | let off | let back | let it back | let her back | spun back | spun ~ back | turned it back | knocked back | wound back | wind back | turned back | cracked`,
	"old":     `old | same | original | existing | used | secondhand | previous | reused | recycl*`,
	"again":   `again | back in | went back in | going back in | goes back in | second time | reused | reus* | recycl*`,
	"missing": `missing | lost | no slinger | no baffle | no oil slinger | no oil baffle | no lock* | no adjuster lock* | no adjusting lock* | no side lock* | no tab* | no keeper* | without | forgot* | left out | left off | left it out | left it off | left them off | left em off | left them out | not fitted | not in | never fitted | never put | never went | has none | have none | ran out of | dont have | doesnt have | havent got | hasnt got | havent fitted | cant find | couldnt find | none in | broke* | snapped | sheared | gone | not there | nowhere | binned | bin | tossed | threw | chucked | skip* | omitted | didnt put | didnt fit | didnt refit | not refit* | not putting | didnt ~ in | didnt ~ on | wasnt one | isnt one | not on | theyre off | they are off | werent in | wasnt in | not installed | never installed`,
	"without": `no | without | without any | zero`,
	"closing": `cover on | cover going on | cover is on | cover ~ on | button* | clos* up | closing it | close it | closed it | close her | sealed up | bolting it up | going back together | shipping it | handing it over`,
	"hit":     `hammer | hammered | hammering | drift | drifted | punch | punched | beat | chisel | chiselled | chiseled | whacked | whack | sledge | sledgehammer | bfh | mallet | smacked | bashed | pounded | belted | smack | tapped ~ hammer | knocked ~ on | knocked it on | hit ~ with | drove ~ with`,
	"wont":    `wont | will not | not | cant | cannot | isnt | hasnt | havent | doesnt | didnt | refuses to | never`,
	"binds":   `binding | binds | bind | bound up | locks up | locked up | locking up | seizes | seized | wont turn | wont rotate | jammed | jams | cant turn`,
	"caps":    `cap | caps`,
	"air":     `air | airgun | blow gun | blowgun`,
	"fuel":    `petrol | gasoline | gas | brake cleaner | brake clean | brakeclean | brakecleaner | solvent | thinner | thinners | acetone | kerosene | kero | parts cleaner | parts wash* | cleaner | diesel | degreaser | carb cleaner | contact cleaner | spirits | mineral spirits | starting fluid | ether | lacquer thinner | fuel`,
	"boss":    `mentor | boss | owner | foreman | lead tech | supervisor | manager | lead | gaffer`,
}
