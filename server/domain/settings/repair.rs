//! What will repairs have cost by so many hours?
