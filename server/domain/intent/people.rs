//! Which words are the given names of people, written small or not: "kev did it"? From memory, and
//! only names that are no other word of a workshop. Deliberately absent: who works in the shop,
//! which its records tell.

/// Given names, short forms among them.
#[rustfmt::skip]
const GIVEN: &[&str] = &[
    "alejandro", "antonio", "armando", "brad", "brandon", "carlos", "chad", "cody", "curtis", "darrell", "diego", "dustin",
    "dwayne", "eduardo", "elena", "enrique", "felipe", "fernando", "francisco", "hector", "javier", "jeremy", "jorge", "jose",
    "juan", "julio", "justin", "luis", "manuel", "marco", "miguel", "pablo", "rafael", "ramon", "randy", "raul", "ray", "ricardo",
    "roberto", "sergio",
    "adam", "aidan", "alan", "alex", "alf", "alfie", "ali", "alice", "amy", "andre", "andrew", "andy", "angus",
    "anna", "anne", "annie", "arthur", "barry", "baz", "becky", "ben", "benny", "bernie", "beth", "billy",
    "bob", "bobby", "brenda", "brian", "bruce", "callum", "carl", "carol", "cath", "charlie", "chloe", "chris",
    "claire", "clive", "colin", "connor", "craig", "dai", "dan", "danny", "darren", "dave", "david", "davey",
    "debbie", "declan", "denis", "dennis", "derek", "diane", "dom", "donna", "doug", "dougie", "duncan",
    "ed", "eddie", "ellie", "emma", "eric", "ernie", "euan", "ewan", "fergus", "fiona", "fred", "freddie", "gareth",
    "gary", "gavin", "gaz", "geoff", "george", "geraint", "gerry", "glen", "glyn", "gordon", "graham", "greg", "hamish",
    "harry", "helen", "henry", "hugh", "hugo", "huw", "iain", "ian", "ivan", "ivor", "jake", "james", "jamie",
    "jan", "jane", "janet", "jason", "jeff", "jen", "jenny", "jerry", "jess", "jill", "jim", "jimmy", "joan", "joe",
    "joel", "joey", "john", "johnny", "jon", "jonny", "jordan", "josh", "julie", "karen", "karl", "kate", "katie",
    "keith", "kelly", "ken", "kenny", "kerry", "kev", "kevin", "kieran", "kim", "kirsty", "kyle", "laura", "lee", "len",
    "leo", "leon", "lewis", "liam", "linda", "lisa", "liz", "luke", "maggie", "malc", "malcolm", "marcus",
    "maria", "mario", "martin", "mary", "matt", "maurice", "megan", "mel", "mick", "mike", "mikey", "mitch",
    "mo", "morag", "nathan", "neil", "nigel", "nina", "norman", "oliver", "ollie", "oscar", "owen", "paddy",
    "pam", "paul", "paula", "pedro", "pete", "peter", "phil", "rachel", "ralph", "reg", "rhys", "ricky", "rob", "robbie",
    "robert", "rodney", "roger", "ron", "ronnie", "rory", "ross", "roy", "russ", "ruth", "ryan", "sally",
    "sam", "sandra", "sarah", "scott", "sean", "seb", "shane", "shaun", "sheila", "shirley", "sid", "simon", "sophie",
    "stan", "steve", "stevie", "stu", "stuart", "sue", "susan", "ted", "teddy", "terry", "tim", "timmy", "toby", "tom",
    "tommy", "tony", "tracy", "travis", "trent", "trevor", "tyler", "vera", "vic", "vicky", "vince", "wayne", "wendy", "wilf", "zac", "zoe",
];
/// Whether a word in small letters is a given name, and hardly anything else.
pub(super) fn is_given_name(word: &str) -> bool {
    GIVEN.contains(&word)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_is_no_word_of_the_workshop() {
        assert!(is_given_name("kev") && is_given_name("sarah"));
        for word in ["will", "reel", "nick", "grant", "mark", "max"] {
            assert!(!is_given_name(word), "{word}");
        }
    }
}
