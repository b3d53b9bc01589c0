//! Which reel: a multi-access key over every variant of every model.
